"""What somebody's role permits, asked of the one table in ``apps.accounts.rules``.

*Where* they may do it is no business of a permission: selectors return only what lies in
their areas, and the rest is not found.
"""

from typing import TYPE_CHECKING

from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request

from apps.accounts.rules import may

if TYPE_CHECKING:  # the views are made with this module's class as their default
    from rest_framework.views import APIView


class May(IsAuthenticated):
    """Whether the role may do what ``view.deeds`` names for the method.

    A method without a deed is refused to everybody: access is given, never assumed. One that
    the view does not have passes, so that the answer is 405 and not 403.
    """

    message = "Your role does not permit this."

    def has_permission(self, request: Request, view: "APIView") -> bool:
        if not super().has_permission(request, view):
            return False
        method = "GET" if request.method == "HEAD" else request.method
        if not hasattr(view, method.lower()):
            return True
        deed = getattr(view, "deeds", {}).get(method)
        return deed is not None and may(request.user, deed)
