"""What is uploaded: a whole export, or a table of rows."""

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from socktrade.data.csvfiles import LARGEST_BYTES

LARGEST_BOOK = 200 * 1024 * 1024


class BookForm(forms.Form):
    """An export of a whole book."""

    book = forms.FileField(
        label=_("Export (.zip)"), widget=forms.ClearableFileInput(attrs={"accept": ".zip"})
    )

    def clean_book(self) -> UploadedFile:
        """Refuse what is too large or plainly something else."""
        book: UploadedFile = self.cleaned_data["book"]
        if (book.size or 0) > LARGEST_BOOK:
            msg = say(
                "Larger than {figure} MB. Use “manage.py import_book” on the machine itself.",
                figure=LARGEST_BOOK // 1024**2,
            )
            raise forms.ValidationError(msg)
        if book.read(4) != b"PK\x03\x04":
            msg = say("This is no zip. Choose the file that “Download everything” made.")
            raise forms.ValidationError(msg)
        book.seek(0)
        return book


class TableForm(forms.Form):
    """A CSV file."""

    table = forms.FileField(
        label=_("CSV file"),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,text/csv"}),
        help_text=format_lazy(_("At most {size} kB."), size=LARGEST_BYTES // 1024),
    )

    def clean_table(self) -> UploadedFile:
        """Refuse another kind of file by its name; what is inside is looked at later."""
        table: UploadedFile = self.cleaned_data["table"]
        if not (table.name or "").lower().endswith((".csv", ".txt", ".tsv")):
            msg = say("Choose a .csv file. In a spreadsheet: Save as, CSV (UTF-8).")
            raise forms.ValidationError(msg)
        if (table.size or 0) > LARGEST_BYTES:
            msg = say("Larger than {figure} kB. Import it in parts.", figure=LARGEST_BYTES // 1024)
            raise forms.ValidationError(msg)
        return table
