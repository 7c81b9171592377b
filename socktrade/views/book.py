"""Find, undo, the workshop's settings and the glossary."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from patterns.core.words import say
from production.errors import ProductionError
from production.models import Act
from production.services.acts import Who
from production.services.finding import find_things
from sales.errors import SalesError
from sales.models import DayAct
from sales.services.till import undo_act
from socktrade.account_forms import WorkshopForm
from socktrade.data.keeping import copy_trouble
from socktrade.http import Request, day_of_pass, way_back
from socktrade.notices import say_done, say_refused
from socktrade.workshop import workshop_of

LONGEST_QUESTION = 80
LONGEST_NUMBER = 18


@require_GET
def find(request: HttpRequest) -> HttpResponse:
    """Look for a number or a word; one exact hit opens at once."""
    question = request.GET.get("q", "")[:LONGEST_QUESTION].replace("\0", "").strip()
    found = find_things(question) if question else []
    if len(found) == 1:
        return redirect(found[0].url)
    return render(request, "socktrade/find.html", {"question": question, "found": found})


@require_POST
def act_undo(request: Request) -> HttpResponse:
    """Take an act back, and return to where the button stood."""
    number = request.POST.get("act", "")
    try:
        act_id = int(number) if number.isdecimal() and len(number) < LONGEST_NUMBER else 0
        _keep_to_her_day(request, act_id)
        undone = undo_act(act_id=act_id, who=Who(by=request.user, at=timezone.now()))
    except Act.DoesNotExist:
        say_refused(request, say("There is no act “{number}” to undo.", number=number[:20]))
    except (ProductionError, SalesError) as refusal:
        say_refused(request, str(refusal))
    else:
        say_done(request, say("Undone: {kind}.", kind=undone.undoes.get_kind_display()))
    return redirect(way_back(request, otherwise="today"))


def _keep_to_her_day(request: Request, act_id: int) -> None:
    """Let a stall pass take back what belongs to its own day, and nothing else."""
    day_id = day_of_pass(request)
    if day_id is not None and not DayAct.objects.filter(act_id=act_id, day_id=day_id).exists():
        raise Act.DoesNotExist


@require_http_methods(["GET", "POST"])
def workshop(request: HttpRequest) -> HttpResponse:
    """Show and change the workshop's settings."""
    form = WorkshopForm(request.POST or None, instance=workshop_of(request))
    if request.method == "POST" and form.is_valid():
        form.instance.pk = 1
        form.save()
        say_done(request, say("Saved."))
        return redirect("workshop")
    context = {"form": form, "copy_trouble": copy_trouble()}
    status = 422 if form.errors else 200
    return render(request, "socktrade/workshop.html", context, status=status)


@require_GET
def glossary(request: HttpRequest) -> HttpResponse:
    """Explain the words of the book."""
    return render(request, "socktrade/glossary.html")
