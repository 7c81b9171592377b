"""Balls wound off packages, which keep those packages in the book."""

from patterns.core.words import say
from production.errors import CannotUndoError
from production.models import Act, ActKind, PackageWeight


def refuse_if_wound_off(act: Act) -> None:
    """Keep the packages of an act in the book while a ball wound off one of them is there.

    Raises:
        CannotUndoError: If there is such a ball; the message names it.
    """
    wound = (
        PackageWeight.objects.standing()
        .filter(package__act=act, act__kind=ActKind.YARN_WOUND, act_id__gt=act.pk)
        .select_related("package__lot")
        .order_by("pk")
        .first()
    )
    if wound:
        package = wound.package
        msg = say(
            "A ball was wound off {package} of {lot} since, and would be left without the "
            "yarn it came from. Undo the winding first.",
            package=package,
            lot=package.lot,
        )
        raise CannotUndoError(msg)
