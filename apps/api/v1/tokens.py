"""Tokens: how a program signs in."""

from django.contrib.auth import authenticate
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.authentication import TokenAuthentication
from rest_framework.authtoken.models import Token
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.permissions import AllowAny, IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response

from apps.accounts.choices import Role
from apps.accounts.selectors import has_second_factor, must_add_second_factor
from apps.accounts.services import passes_second_factor
from apps.api.fields import Incoming
from apps.api.throttling import SignInsFromAddress, SignInsWithName
from apps.api.views import APIView


class TokenIn(Incoming):
    username = serializers.CharField(max_length=150)
    password = serializers.CharField(
        max_length=1000, trim_whitespace=False, style={"input_type": "password"}
    )
    code = serializers.CharField(
        max_length=40,
        required=False,
        help_text="one-time or recovery code, where you have a second factor",
    )


class TokenOut(serializers.Serializer):
    token = serializers.CharField(help_text="send it as 'Authorization: Token …'")
    username = serializers.CharField()
    role = serializers.ChoiceField(Role.choices)


class TokenView(APIView):
    """A session cookie is no way in here: whoever asks for a token gives the password."""

    authentication_classes = [TokenAuthentication]

    def get_permissions(self) -> list:
        return [AllowAny() if self.request.method == "POST" else IsAuthenticated()]

    def get_throttles(self) -> list:
        sign_in = [SignInsFromAddress(), SignInsWithName()]
        return sign_in if self.request.method == "POST" else super().get_throttles()

    @extend_schema(operation_id="obtain_token", tags=["token"], request=TokenIn, responses=TokenOut)
    def post(self, request: Request) -> Response:
        """Sign in with name and password; the answer is your token, the same until revoked."""
        asked = TokenIn(data=request.data)
        asked.is_valid(raise_exception=True)
        code = asked.validated_data.pop("code", "")
        user = authenticate(request, **asked.validated_data)
        if user is None:
            raise AuthenticationFailed("There is no active user with this name and password.")
        if has_second_factor(user) and not passes_second_factor(user=user, code=code, by=user):
            raise AuthenticationFailed(
                "This user has a second factor: send a fresh one-time code as 'code'."
            )
        if must_add_second_factor(user):
            raise AuthenticationFailed(
                "This role has to have a second factor. Sign in to the pages and add one first."
            )
        token, _ = Token.objects.get_or_create(user=user)
        said = {"token": token.key, "username": user.username, "role": user.role}
        return Response(TokenOut(said).data)

    @extend_schema(operation_id="revoke_token", tags=["token"], request=None, responses={204: None})
    def delete(self, request: Request) -> Response:
        """Make your token void; the next sign-in gives a new one."""
        request.auth.delete()
        return Response(status=status.HTTP_204_NO_CONTENT)
