"""Limits on sign-ins, beside those of Django REST framework; rates stand in the settings."""

from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle
from rest_framework.views import APIView


class SignInsFromAddress(SimpleRateThrottle):
    """How often one address may try to get a token, with whatever names."""

    scope = "sign_in_address"

    def get_cache_key(self, request: Request, view: APIView) -> str:
        return self.cache_format % {"scope": self.scope, "ident": self.get_ident(request)}


class SignInsWithName(SimpleRateThrottle):
    """How often one name may be tried, from wherever: a guesser has many addresses."""

    scope = "sign_in_name"

    def get_cache_key(self, request: Request, view: APIView) -> str | None:
        name = request.data.get("username") if isinstance(request.data, dict) else None
        return f"throttle_{self.scope}_{name.casefold()}" if isinstance(name, str) else None
