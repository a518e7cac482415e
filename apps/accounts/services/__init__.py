"""What changes who may sign in, and how."""

from apps.accounts.services.invitations import (
    InvitationError,
    accept_invitation,
    invite,
    withdraw_invitation,
)
from apps.accounts.services.people import close_account, make_user, set_password
from apps.accounts.services.second_factor import (
    begin_second_factor,
    confirm_second_factor,
    drop_second_factor,
    passes_second_factor,
    renew_recovery_codes,
)
from apps.accounts.services.sessions import end_other_sessions, end_session, note_session

__all__ = [
    "InvitationError",
    "accept_invitation",
    "begin_second_factor",
    "close_account",
    "confirm_second_factor",
    "drop_second_factor",
    "end_other_sessions",
    "end_session",
    "invite",
    "make_user",
    "note_session",
    "passes_second_factor",
    "renew_recovery_codes",
    "set_password",
    "withdraw_invitation",
]
