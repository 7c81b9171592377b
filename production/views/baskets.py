"""Pages: the baskets, and what is done out of each."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from patterns.core.words import say, say_count
from production.core.boards import board_for
from production.core.places import STEP_BY_KEY, SockPlace, Step, step_before
from production.errors import ProductionError
from production.forms.baskets import BasketForm, BlockForm, WashForm
from production.models import Act, Sock
from production.services import baskets
from production.services.acts import Who
from production.services.basket_queries import (
    Basket,
    Moved,
    StringGroup,
    basket_cards,
    basket_of,
    moved_meanwhile,
    strings_in_work,
)
from production.services.forecasts import WINDOW, bench_forecast, flow_between, inflow_of
from production.services.latelymoved import lately_moved
from production.services.loads import YarnCare, yarns_in
from production.services.paces import standing_of_bench
from production.services.shrinkage import Shrunk, shrunk_of
from production.services.steps import steps_off
from production.services.washing import WashAdvice, wash_advice, wash_socks
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.workshop import workshop_of

FORMS: dict[str, type[BasketForm]] = {"wash": WashForm, "block": BlockForm}
OPEN_UP_TO = 24  # in a fuller basket the single socks are folded away


@dataclass(frozen=True, slots=True)
class Line:
    """One sock on the page: whether it is ticked, its measures as typed, its board."""

    sock: Sock
    ticked: bool
    foot: str
    leg: str
    errors: list[str]
    board_mm: float | None


@dataclass(frozen=True, slots=True)
class Fold:
    """The socks of one string on the page."""

    group: StringGroup
    lines: list[Line]
    unfolded: bool


@dataclass(frozen=True, slots=True)
class LoadOnPage:
    """Strings that may be washed together; everywhere but in the wash basket just one."""

    name: str
    folds: list[Fold]
    number: int | None = None
    advice: WashAdvice | None = None

    @property
    def count(self) -> int:
        """Return how many socks it holds."""
        return sum(len(fold.lines) for fold in self.folds)

    @property
    def ids(self) -> str:
        """Return their keys, as one tick carries them."""
        return ",".join(fold.group.ids for fold in self.folds)


@require_GET
def basket_list(request: HttpRequest) -> HttpResponse:
    """Show every basket with its count, age and work, and the strings in work."""
    standing, now = standing_of_bench(), timezone.now()
    cards = basket_cards(workshop_of(request), standing=standing)
    in_baskets = sum(card.count for card in cards if card.piece == "sock")
    lately = lately_moved(now - WINDOW, standing)
    bench = bench_forecast(
        cards, at=now, workshop=workshop_of(request), lately=lately, standing=standing
    )
    context = {
        "cards": [(card, bench.baskets[card.key]) for card in cards],
        "waiting": any(card.count for card in cards),
        "strings": strings_in_work(),
        "bench": bench,
        "flow": flow_between(now - WINDOW, now, now=in_baskets, lately=lately),
    }
    return render(request, "production/basket_list.html", context)


@require_http_methods(["GET", "POST"])
def basket_detail(request: Request, key: str) -> HttpResponse:
    """Show one basket; on POST take the ticked socks through its step."""
    step = STEP_BY_KEY.get(key)
    if step is None:
        msg = say("There is no basket “{key}”.", key=key)
        raise Http404(msg)
    after = request.GET.get("after", "")
    basket = basket_of(step, after=int(after) if after.isdecimal() and len(after) < 10 else 0)
    form = _form(request, basket)
    if request.method == "POST" and form.is_valid():
        try:
            act = _finish(request, step, form)
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            back = say("put back a step")
            done = say_count(
                "{count} sock {done}.",
                "{count} socks {done}.",
                act.sock_moves.count(),
                done=back if form.cleaned_data["back"] else step.done,
            )
            say_done(request, done, act_id=act.pk)
            return redirect("production:basket_detail", key=key)
    context = {
        "basket": basket,
        "form": form,
        "loads": list(_loads(request, basket, form)),
        "moved": _moved(step, form),
        "yarns": _yarns(request, basket),
        "shrunk": _shrunk(basket),
        "before": step_before(step.start, steps_off(workshop_of(request))),
    }
    status = 422 if form.errors else 200
    return render(request, "production/basket_detail.html", context, status=status)


def _form(request: Request, basket: Basket) -> BasketForm:
    more = {}
    if basket.step.key == "block":
        more["sock_ids"] = tuple(sock.pk for sock in basket.socks)
    form_class = FORMS.get(basket.step.key, BasketForm)
    return form_class(
        request.POST if request.method == "POST" else None, workshop=workshop_of(request), **more
    )


def _finish(request: Request, step: Step, form: BasketForm) -> Act:
    told = form.cleaned_data
    who = Who(by=request.user, at=timezone.now(), key=told["key"])
    if told["back"]:
        return baskets.step_back(sock_ids=told["ids"], who=who)
    if step.key == "block":
        return baskets.block_socks(
            feet_mm=told["feet_mm"], legs_mm=told["legs_mm"], who=who, minutes=told["minutes"]
        )
    if step.key == "wash":
        return wash_socks(
            sock_ids=told["ids"], together=told["together"], who=who, minutes=told["minutes"]
        )
    return baskets.do_step(step=step.key, sock_ids=told["ids"], who=who, minutes=told["minutes"])


def _loads(request: Request, basket: Basket, form: BasketForm) -> Iterator[LoadOnPage]:
    ticked = form.ticked
    small = len(basket.socks) <= OPEN_UP_TO or basket.step.key == "block"
    advise = _adviser(request) if basket.step.key == "wash" else None
    for load, groups in basket.by_load():
        folds = []
        for group in groups:
            lines = [_line(sock, form, ticked=sock.pk in ticked) for sock in group.socks]
            some = 0 < sum(line.ticked for line in lines) < len(lines)
            folds.append(Fold(group, lines, unfolded=small or some))
        count = sum(len(fold.lines) for fold in folds)
        advice = advise(count) if advise else None
        yield LoadOnPage(load.name if load else "", folds, load and load.number, advice)


def _adviser(request: Request) -> Callable[[int], WashAdvice]:
    """Return what says of a number of socks whether they should be washed now."""
    now = timezone.now()
    ahead = getattr(request, "market_ahead", None)
    inflow, market = inflow_of(SockPlace.TO_WASH, at=now), ahead() if ahead else None

    def advise(count: int) -> WashAdvice:
        return wash_advice(
            waiting=count,
            inflow_a_day=inflow,
            today=timezone.localdate(now),
            next_market=market,
            workshop=workshop_of(request),
        )

    return advise


def _line(sock: Sock, form: BasketForm, *, ticked: bool) -> Line:
    if not isinstance(form, BlockForm):
        return Line(sock, ticked=ticked, foot="", leg="", errors=[], board_mm=None)
    names = (f"foot_{sock.pk}", f"leg_{sock.pk}")
    errors = [text for name in names for text in form.errors.get(name, [])] if form.is_bound else []
    return Line(
        sock,
        ticked=ticked,
        foot=form.typed("foot", sock.pk),
        leg=form.typed("leg", sock.pk),
        errors=errors,
        board_mm=board_for(sock.version.sock_foot_mm),
    )


def _moved(step: Step, form: BasketForm) -> list[tuple[Moved, str]]:
    if not form.errors:
        return []
    moved = moved_meanwhile(step, form.ticked)
    if not isinstance(form, BlockForm):
        return [(one, "") for one in moved]
    return [(one, form.typed("foot", one.sock.pk)) for one in moved]


def _yarns(request: Request, basket: Basket) -> list[YarnCare]:
    if basket.step.key != "wash":
        return []
    return yarns_in(basket.socks, rules=workshop_of(request).label_rules)


def _shrunk(basket: Basket) -> list[Shrunk]:
    if basket.step.key != "block":
        return []
    return shrunk_of({sock.version_id for sock in basket.socks})
