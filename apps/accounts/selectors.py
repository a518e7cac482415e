from django.db.models import QuerySet

from apps.accounts.models import User


def people() -> QuerySet[User]:
    """Everybody who may sign in, by username."""
    return User.objects.order_by("username")
