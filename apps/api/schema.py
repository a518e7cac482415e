"""What the OpenAPI document says beyond the views: filters, and the answers to mistakes."""

from http import HTTPStatus
from typing import Any

from django_filters import filters
from drf_spectacular.contrib.django_filters import DjangoFilterExtension
from drf_spectacular.plumbing import build_array_type, build_parameter_type
from drf_spectacular.utils import OpenApiParameter

CONVENTIONS = """

**Signing in.** `POST /api/v1/token/` gives a token for the header `Authorization: Token …`; a
session of the pages works too, with the header `X-CSRFToken` where something is changed.

**What is shown** lies in the areas you answer for. The rest is not found (404), whatever it is;
what your role does not permit is refused (403).

**Lists** come in pages (`page`, `page_size`) and take the filters named here and no others.

**Numbers.** Money is a decimal text in the district's currency, volumes are per year, shares run
from 0 to 1, and names carry units. A null is unknown, or no limit; it is never zero.

**Mistakes** all have the form `Problem`: a stable code, what is wrong, what to do, and the places
in the request that are to blame.

**Limits.** After too many requests the answer is 429, and `Retry-After` says how long to wait.
"""

# Every answer to a mistake has this form; ``apps.api.errors`` writes it.
PROBLEM = {
    "type": "object",
    "description": "What is wrong, and what to do about it.",
    "required": ["error"],
    "additionalProperties": False,
    "properties": {
        "error": {
            "type": "object",
            "required": ["code", "message", "remedy", "fields"],
            "additionalProperties": False,
            "properties": {
                "code": {"type": "string", "description": "Stable; for programs."},
                "message": {"type": "string", "description": "What is wrong, and where."},
                "remedy": {"type": "string", "description": "What to do."},
                "fields": {
                    "type": "object",
                    "description": "Places in the request that are to blame, with texts for each.",
                    "additionalProperties": {"type": "array", "items": {"type": "string"}},
                },
            },
        }
    },
}

WHEN = {
    HTTPStatus.BAD_REQUEST: "The request is not as described here.",
    HTTPStatus.UNAUTHORIZED: "Nobody is signed in, or the token is not valid.",
    HTTPStatus.FORBIDDEN: "Your role does not permit this, or the CSRF token is missing.",
    HTTPStatus.NOT_FOUND: "It does not exist, or lies outside the areas you answer for.",
    HTTPStatus.METHOD_NOT_ALLOWED: "The address has no such method.",
    HTTPStatus.NOT_ACCEPTABLE: "The Accept header asks for something else than JSON.",
    HTTPStatus.CONFLICT: "Not possible in the present state of things.",
    HTTPStatus.PRECONDITION_FAILED: "It was changed since it was read; both values are told.",
    HTTPStatus.PRECONDITION_REQUIRED: "A change must name the ETag of what it was made from.",
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE: "The request is too large.",
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE: "The body is not sent as application/json.",
    HTTPStatus.UNPROCESSABLE_ENTITY: "Sound in form, but it cannot be carried out.",
    HTTPStatus.TOO_MANY_REQUESTS: "Too many requests; wait as long as Retry-After says.",
    HTTPStatus.INTERNAL_SERVER_ERROR: "A fault of this service.",
}
ALWAYS = {400, 401, 403, 404, 405, 406, 429, 500}
WITH_A_BODY = {409, 413, 415, 422}
OF_METHOD = {"post": WITH_A_BODY, "patch": {412, 413, 415, 428}}
METHODS = ("get", "post", "put", "patch", "delete")


def complete(result: dict[str, Any], generator: Any, **_: Any) -> dict[str, Any]:
    """Say what holds for all operations, and declare the answers to mistakes once for all."""
    result["info"]["description"] += CONVENTIONS
    components = result.setdefault("components", {})
    components.setdefault("schemas", {})["Problem"] = PROBLEM
    components["responses"] = {_name(status): _response(status) for status in WHEN}
    for path in result["paths"].values():
        for method in METHODS:
            if method in path:
                statuses = ALWAYS | OF_METHOD.get(method, set())
                answers = path[method]["responses"]
                for status in sorted(statuses):
                    reference = {"$ref": f"#/components/responses/{_name(HTTPStatus(status))}"}
                    answers.setdefault(str(status), reference)
    return result


def _name(status: HTTPStatus) -> str:
    return status.phrase.title().replace(" ", "").replace("-", "")


def _response(status: HTTPStatus) -> dict[str, Any]:
    schema = {"$ref": "#/components/schemas/Problem"}
    response: dict[str, Any] = {
        "description": WHEN[status],
        "content": {"application/json": {"schema": schema}},
    }
    if status == HTTPStatus.TOO_MANY_REQUESTS:
        seconds = {"type": "integer", "minimum": 0}
        response["headers"] = {"Retry-After": {"description": "Seconds.", "schema": seconds}}
    return response


class DeclaredFiltersExtension(DjangoFilterExtension):
    """Describes filters from their declaration alone, where the library's own asks a model."""

    target_class = "apps.api.filters.DeclaredFilters"
    match_subclasses = True
    priority = 1

    def get_schema_operation_parameters(self, auto_schema, *args, **kwargs) -> list[dict]:
        filterset = self.target.get_filterset_class(auto_schema.view)
        declared = filterset.base_filters if filterset else {}
        return [_parameter(name, declared[name]) for name in declared]


def _parameter(name: str, declared: filters.Filter) -> dict[str, Any]:
    schema: dict[str, Any] = {"type": "string"}
    if isinstance(declared, filters.BooleanFilter):
        schema = {"type": "boolean"}
    elif choices := declared.extra.get("choices"):
        values = [value for value, _ in choices]
        schema = {"type": "integer" if isinstance(values[0], int) else "string", "enum": values}
    style = {}
    if isinstance(declared, filters.BaseCSVFilter):
        schema = build_array_type(schema)
        style = {"style": "form", "explode": False}
    return build_parameter_type(
        name=name,
        schema=schema,
        location=OpenApiParameter.QUERY,
        description=declared.extra["help_text"],
        **style,
    )
