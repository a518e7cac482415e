"""Addresses of version 1 of the API."""

from django.urls import path, re_path

from apps.api.docs import DocsView, SchemaView
from apps.api.v1 import (
    areas,
    coverage,
    demand,
    device_models,
    documents,
    equipment_items,
    lab_tests,
    lines,
    methods,
    plans,
    procedures,
    programmes,
    reach,
    register_files,
    runs,
    site_facts,
    sites,
    tokens,
    travel_times,
    upload_steps,
    uploads,
    verifications,
    workloads,
)
from apps.api.views import UnknownAddress

app_name = "api"
urlpatterns = [
    path("token/", tokens.TokenView.as_view(), name="token"),
    path("areas/", areas.AreaList.as_view(), name="area-list"),
    path(
        "areas/<slug:code>/register/",
        register_files.RegisterFile.as_view(),
        name="register-file",
    ),
    path(
        "areas/<slug:code>/register.geojson",
        register_files.PlacesFile.as_view(),
        name="places-file",
    ),
    path(
        "areas/<slug:code>/register.fhir.json",
        register_files.BundleFile.as_view(),
        name="bundle-file",
    ),
    path(
        "areas/<slug:code>/tables/<slug:table>.csv",
        register_files.TableFile.as_view(),
        name="table-file",
    ),
    path("sites/", sites.SiteList.as_view(), name="site-list"),
    path("sites/<slug:code>/", sites.SiteDetail.as_view(), name="site-detail"),
    path(
        "sites/<slug:code>/facts/", site_facts.SiteFactsDetail.as_view(), name="site-facts-detail"
    ),
    path(
        "equipment-items/",
        equipment_items.EquipmentItemList.as_view(),
        name="equipment-item-list",
    ),
    path(
        "equipment-items/<slug:code>/",
        equipment_items.EquipmentItemDetail.as_view(),
        name="equipment-item-detail",
    ),
    path("travel-times/", travel_times.TravelTimeList.as_view(), name="travel-time-list"),
    path("verifications/", verifications.VerificationList.as_view(), name="verification-list"),
    path(
        "verifications/<slug:code>/",
        verifications.VerificationDetail.as_view(),
        name="verification-detail",
    ),
    path(
        "verifications/<slug:code>/withdraw/",
        verifications.VerificationWithdraw.as_view(),
        name="verification-withdraw",
    ),
    path("uploads/", uploads.UploadList.as_view(), name="upload-list"),
    path("uploads/<int:upload_id>/", uploads.UploadDetail.as_view(), name="upload-detail"),
    path(
        "uploads/<int:upload_id>/rows/<str:sheet>/<slug:verdict>/",
        uploads.UploadProposals.as_view(),
        name="upload-proposals",
    ),
    path("uploads/<int:upload_id>/apply/", upload_steps.UploadApply.as_view(), name="upload-apply"),
    path("uploads/<int:upload_id>/undo/", upload_steps.UploadUndo.as_view(), name="upload-undo"),
    path(
        "uploads/<int:upload_id>/cancel/", upload_steps.UploadCancel.as_view(), name="upload-cancel"
    ),
    path("programmes/", programmes.ProgrammeList.as_view(), name="programme-list"),
    path("tests/", lab_tests.LabTestList.as_view(), name="test-list"),
    path("tests/<slug:code>/reach/", reach.TestReach.as_view(), name="test-reach"),
    path("methods/", methods.MethodList.as_view(), name="method-list"),
    path("methods/<slug:code>/", methods.MethodDetail.as_view(), name="method-detail"),
    path("spin-procedures/", procedures.SpinList.as_view(), name="spin-procedure-list"),
    path("device-models/", device_models.DeviceModelList.as_view(), name="device-model-list"),
    path(
        "device-models/<slug:code>/",
        device_models.DeviceModelDetail.as_view(),
        name="device-model-detail",
    ),
    path("coverage/", coverage.FindingList.as_view(), name="coverage-list"),
    path("demand-estimates/", demand.EstimateList.as_view(), name="demand-estimate-list"),
    path("workloads/", workloads.WorkloadList.as_view(), name="workload-list"),
    path("plans/", plans.PlanList.as_view(), name="plan-list"),
    path("plans/<int:plan_id>/", plans.PlanDetail.as_view(), name="plan-detail"),
    path("plans/<int:plan_id>/runs/", runs.PlanRuns.as_view(), name="plan-runs"),
    path("runs/<int:run_id>/", runs.RunDetail.as_view(), name="run-detail"),
    path("runs/<int:run_id>/result/", documents.RunResult.as_view(), name="run-result"),
    path("runs/<int:run_id>/case/", documents.RunCase.as_view(), name="run-case"),
    path("runs/<int:run_id>/lines/", lines.RunLines.as_view(), name="run-lines"),
    path("runs/<int:run_id>/cancel/", runs.RunCancel.as_view(), name="run-cancel"),
    path("schema/", SchemaView.as_view(), name="schema"),
    path("docs/", DocsView.as_view(), name="docs"),
    re_path("", UnknownAddress.as_view(), name="unknown"),
]
