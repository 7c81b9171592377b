"""What is done at the bench between the machine and the pair, as rules of the random acts.

Mixed into the machine that keeps the plain model: places, feet and grams.
"""

from decimal import Decimal

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from production.core.places import IN_WORK, STEP_BY_KEY, SockPlace
from production.models import Load, Sock
from production.services import baskets, pairs, strings, washing


class BenchRules:
    """Resuming, loads, measuring, steps back, and mating by hand."""

    @rule(pick=st.randoms(use_true_random=False), count=st.integers(1, 3))
    def resume_a_string(self, pick, count):
        runs = list(strings.last_on_machine())
        if not runs:
            return
        string, lot = pick.choice(runs).string, pick.choice(self.lots)
        version = pick.choice(self.versions)
        before = set(string.socks.values_list("pk", flat=True))
        act = strings.resume_string(
            string=string,
            runs=[strings.Run(version=version, count=count, lot=lot)],
            who=self.who(),
            goes_on=pick.random() < 0.5,
        )
        took = Decimal(str(round(version.grams * count, 1)))
        self.grams[lot.pk] -= took
        self.gram_acts[act.pk] = {lot.pk: -took}
        new = set(string.socks.values_list("pk", flat=True)) - before
        assert len(new) == count
        self.moved(act, {("sock", pk): (None, "to_cut") for pk in new})

    @rule(pick=st.randoms(use_true_random=False))
    def wash_a_load(self, pick):
        step, waiting = STEP_BY_KEY["wash"], self.things("sock", SockPlace.TO_WASH)
        if not waiting:
            return
        chosen = pick.sample(waiting, pick.randint(1, len(waiting)))
        act = washing.wash_socks(sock_ids=chosen, together=True, who=self.who())
        assert act.load.number == Load.objects.count()
        self.moved(act, {("sock", pk): (step.start, step.end) for pk in chosen})

    @rule(pick=st.randoms(use_true_random=False))
    def take_in_a_load(self, pick):
        last = washing.last_loads()
        hanging = [pk for pk in self.things("sock", SockPlace.TO_DRY) if pk in last]
        if not hanging:
            return
        step, load = STEP_BY_KEY["dry"], Load.objects.get(pk=last[pick.choice(hanging)])
        wet = [pk for pk in hanging if last[pk] == load.pk]
        act = washing.dry_load(load=load, who=self.who())
        self.moved(act, {("sock", pk): (step.start, step.end) for pk in wet})

    @rule(feet=st.lists(st.integers(225, 240), min_size=1))
    def block_and_measure(self, feet):
        step, waiting = STEP_BY_KEY["block"], self.things("sock", SockPlace.TO_BLOCK)
        if not waiting:
            return
        measured = dict(zip(waiting, feet, strict=False))
        act = baskets.block_socks(
            feet_mm=dict.fromkeys(waiting) | measured,
            legs_mm={pk: foot - 50 for pk, foot in measured.items()},
            who=self.who(),
        )
        self.moved(act, {("sock", pk): (step.start, step.end) for pk in waiting})
        self.noted(act, measured)

    @precondition(lambda self: self.things("sock", *IN_WORK, "in_pair"))
    @rule(pick=st.randoms(use_true_random=False), foot=st.integers(225, 240))
    def measure_one(self, pick, foot):
        pk = pick.choice(self.things("sock", *IN_WORK, "in_pair"))
        act = baskets.measure_sock(sock=Sock.objects.get(pk=pk), foot_mm=foot, who=self.who())
        self.moved(act, {})
        if self.feet.get(pk) != foot:
            self.noted(act, {pk: foot})

    def noted(self, act, feet):
        changed = {pk: foot for pk, foot in feet.items() if self.feet.get(pk) != foot}
        self.notes[act.pk] = {pk: (self.feet.get(pk), foot) for pk, foot in changed.items()}
        self.feet |= changed

    @rule(pick=st.randoms(use_true_random=False), nth=st.integers(1, len(IN_WORK) - 1))
    def put_back_a_step(self, pick, nth):
        waiting = self.things("sock", IN_WORK[nth])
        if not waiting:
            return
        chosen = pick.sample(waiting, pick.randint(1, len(waiting)))
        act = baskets.step_back(sock_ids=chosen, who=self.who())
        self.moved(act, {("sock", pk): (IN_WORK[nth], IN_WORK[nth - 1]) for pk in chosen})

    @rule(pick=st.randoms(use_true_random=False))
    def mate_by_hand(self, pick):
        waiting = self.things("sock", "to_mate")
        version_of = dict(Sock.objects.filter(pk__in=waiting).values_list("pk", "version_id"))
        alike = [pk for pk in waiting if version_of[pk] == version_of[waiting[0]]]
        if len(alike) < 2:
            return
        couple = tuple(pick.sample(alike, 2))
        act = pairs.mate_socks(couples=[couple], note="they look alike", who=self.who())
        pair = act.pair_moves.get().pair_id
        self.partners[pair] = couple
        moves = {("sock", pk): ("to_mate", "in_pair") for pk in couple}
        self.moved(act, moves | {("pair", pair): (None, "to_tag")})
