"""Lists come in numbered pages: ``?page=2&page_size=50``.

Page numbers, not cursors: people and spreadsheets ask for a page and for the total, the
lists are of thousands of rows, and each has a total order, so that no row is on two pages.
"""

from django.core.paginator import Paginator
from rest_framework.exceptions import ValidationError
from rest_framework.pagination import PageNumberPagination
from rest_framework.request import Request


class Pages(PageNumberPagination):
    page_size = 100
    max_page_size = 500
    page_size_query_param = "page_size"
    page_query_description = "Number of the page, from 1."
    page_size_query_description = f"Rows on a page, 1 to {max_page_size}; {page_size} if not given."
    invalid_page_message = "There is no page {page_number}."
    last_page_strings = ()

    def get_page_number(self, request: Request, paginator: Paginator) -> int:
        return self._whole_number(request, self.page_query_param, default=1)

    def get_page_size(self, request: Request) -> int:
        name = self.page_size_query_param
        return self._whole_number(request, name, default=self.page_size, at_most=self.max_page_size)

    def get_paginated_response_schema(self, schema: dict) -> dict:
        """All four keys are always there; ``next`` and ``previous`` may be null."""
        link = {"type": ["string", "null"], "format": "uri"}
        count = {"type": "integer", "description": "Rows on all pages together."}
        keys = {"count": count, "next": link, "previous": link, "results": schema}
        return {"type": "object", "required": list(keys), "properties": keys}

    @staticmethod
    def _whole_number(
        request: Request, name: str, *, default: int, at_most: int | None = None
    ) -> int:
        """Query parameter ``name``; a mistyped one is refused, not replaced by the default."""
        text = request.query_params.get(name, str(default))
        if text.isascii() and text.isdigit() and len(text) <= 9:
            number = int(text)
            if 1 <= number <= (at_most or number):
                return number
        limit = f" and at most {at_most}" if at_most else ""
        raise ValidationError({name: [f"Expected a whole number of at least 1{limit}."]})
