"""Figures for Prometheus: requests, runs and what waits; off unless a token is set."""

import hmac

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, Counter, Histogram
from prometheus_client.exposition import generate_latest

REGISTRY = CollectorRegistry()
REQUESTS = Counter(
    "benchward_requests",
    "Requests answered",
    ["page", "method", "status"],
    registry=REGISTRY,
)
SECONDS = Histogram(
    "benchward_request_seconds",
    "Time to answer a request",
    ["page"],
    buckets=(0.01, 0.025, 0.05, 0.1, 0.15, 0.25, 0.5, 1, 2.5, 5, 10),
    registry=REGISTRY,
)
NOT_A_PAGE = "none"


def note_request(request: HttpRequest, response: HttpResponse, seconds: float) -> None:
    """Count a request under the name of its page: never under its address, which names things."""
    match = request.resolver_match
    page = (match.view_name if match else "") or NOT_A_PAGE
    REQUESTS.labels(page, request.method or "", str(response.status_code)).inc()
    SECONDS.labels(page).observe(seconds)


def metrics(request: HttpRequest) -> HttpResponse:
    """The figures of this process, for who sends the token; not found for anybody else."""
    given = request.headers.get("Authorization", "").removeprefix("Bearer ")
    token = settings.METRICS_TOKEN
    if not token or not hmac.compare_digest(given.encode(), token.encode()):
        raise Http404
    return HttpResponse(generate_latest(REGISTRY), content_type=CONTENT_TYPE_LATEST)
