"""Addresses of the pages. Plural noun, then key, then verb; a GET never changes anything."""

from django.contrib.auth.views import LogoutView
from django.urls import include, path
from django.views.generic import RedirectView

from apps.web.views import accounts, coverage, plans, questions, runs, sites

app_name = "web"

downloads = [
    path("actions.csv", runs.actions_csv, name="run-actions-csv"),
    path("actions.xlsx", runs.actions_xlsx, name="run-actions-xlsx"),
    path("coverage.csv", runs.coverage_csv, name="run-coverage-csv"),
    path("result.json", runs.result_json, name="run-result-json"),
    path("case.json", runs.case_json, name="run-case-json"),
]

urlpatterns = [
    path("", RedirectView.as_view(pattern_name="web:site-list"), name="home"),
    path("sign-in/", accounts.SignIn.as_view(), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("password/", accounts.PasswordChange.as_view(), name="password-change"),
    path("sites/", sites.site_list, name="site-list"),
    path("sites/<slug:code>/", sites.site_detail, name="site-detail"),
    path("coverage/", coverage.coverage_grid, name="coverage-grid"),
    path("coverage/refresh/", coverage.coverage_refresh, name="coverage-refresh"),
    path("coverage/findings.csv", coverage.coverage_csv, name="coverage-csv"),
    path("coverage/tests/<slug:code>/", coverage.coverage_test, name="coverage-test"),
    path("plans/", plans.plan_list, name="plan-list"),
    path("plans/draft/", plans.plan_draft, name="plan-draft"),
    path("plans/<int:plan_id>/", plans.plan_detail, name="plan-detail"),
    path("plans/<int:plan_id>/start/", plans.plan_start, name="plan-start"),
    path("plans/<int:plan_id>/cancel/", plans.plan_cancel, name="plan-cancel"),
    path("plans/<int:plan_id>/progress/", plans.plan_progress, name="plan-progress"),
    path("plans/<int:plan_id>/runs/<int:run_id>/", runs.run_detail, name="run-detail"),
    path("plans/<int:plan_id>/runs/<int:run_id>/", include(downloads)),
    path("deliveries/", questions.delivery_list, name="delivery-list"),
    path("verification/", questions.verification_list, name="verification-list"),
]
