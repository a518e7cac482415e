"""The OpenAPI document and the pages that show it, with no inline script or style."""

from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularAPIView, SpectacularSwaggerSplitView
from rest_framework.permissions import AllowAny

from apps.api import schema  # noqa: F401  (importing it registers how filters are described)


class SchemaView(SpectacularAPIView):
    permission_classes = [AllowAny]


@extend_schema(exclude=True)
class DocsView(SpectacularSwaggerSplitView):
    permission_classes = [AllowAny]
    url_name = "api:schema"
    title = "Benchward API"
    template_name = "api/docs.html"
