from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

MOST_BYTES = 1_000_000


class UploadForm(forms.Form):
    """A table of travel times: a file to look at, or the text of one that was looked at."""

    file = forms.FileField(
        label=gettext_lazy("CSV file"),
        required=False,
        widget=forms.FileInput({"accept": ".csv,text/csv"}),
        help_text=gettext_lazy(
            "First row: origin, destination, mode, season, hours, source, measured_on. Codes of"
            " sites; mode walk, unpaved or paved; season dry or wet; hours one way."
        ),
    )
    text = forms.CharField(required=False, widget=forms.HiddenInput, strip=False)

    def clean(self) -> dict[str, object]:
        """``content``: the bytes of the file, else of the text."""
        cleaned = super().clean()
        upload, text = cleaned.get("file"), cleaned.get("text")
        if upload is None and not text:
            raise ValidationError({"file": gettext("Choose a file.")})
        if upload is not None and upload.size > MOST_BYTES:
            raise ValidationError({"file": gettext("The file is larger than 1 MB. Part it.")})
        cleaned["content"] = upload.read() if upload is not None else str(text).encode()
        return cleaned
