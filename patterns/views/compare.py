"""Two versions side by side."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from patterns.forms.sizes import CompareForm
from patterns.services import cards, fits
from socktrade.http import Request
from socktrade.workshop import workshop_of


@require_GET
def version_compare(request: Request) -> HttpResponse:
    """Show two versions side by side, what differs marked."""
    asked = "a" in request.GET
    form = CompareForm(request.GET if asked else None)
    context = {"form": form}
    if asked and form.is_valid():
        a, b = form.cleaned_data["a"], form.cleaned_data["b"]
        workshop = workshop_of(request)
        lines = fits.compare(a, b)
        context |= {
            "a": a,
            "b": b,
            "lines": lines,
            "different": sum(line.differs for line in lines),
            "drawings": [(one, cards.drawing_of(one)) for one in (a, b)],
            "sizes": [fits.sizes_of_version(one, workshop).shoes for one in (a, b)],
        }
    status = 422 if form.errors else 200
    return render(request, "patterns/version_compare.html", context, status=status)
