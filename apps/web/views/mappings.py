"""The columns of somebody's own file: suggested, looked at, confirmed."""

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from apps.imports.selectors import unmapped_for
from apps.imports.services import map_file, mapping_question
from apps.web.forms.mappings import Mapped, chosen_words
from apps.web.mappings import column_lines, missing_names, table_options, word_lists
from apps.web.views.access import found, permitted


@permitted("register.change")
def file_columns(request: HttpRequest, file_id: int) -> HttpResponse:
    """Say which column is which; the file is then read by that, and it is remembered."""
    unmapped = found(lambda: unmapped_for(request.user, file_id))
    said = Mapped.of(request.POST)
    question = mapping_question(unmapped, table=said.table, sheet=said.sheet, columns=said.columns)
    words = chosen_words(request.POST, question.words) if said.columns else question.words
    problems: list[str] = []
    if "confirm" in request.POST and said.columns:
        try:
            upload = map_file(
                unmapped=unmapped,
                table=question.guess.table.file,
                columns=said.columns,
                values=words,
                sheet=question.sheet if question.sheets else "",
                by=request.user,
            )
        except ValidationError as refused:
            problems = refused.messages
        else:
            return redirect("web:upload-detail", upload.pk)
    values = {
        "file": unmapped,
        "question": question,
        "problems": problems,
        "tables": table_options(question.guess.table),
        "columns": column_lines(question),
        "words": word_lists(question, words),
        "missing": missing_names(question),
        "of": f"{question.guess.table.file}|{question.sheet}",
    }
    return render(request, "web/uploads/columns.html", values, status=422 if problems else 200)
