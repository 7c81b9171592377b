"""What a load of one yarn is called, as the bench would call it."""

from production.core.care import load_key
from production.models import Yarn


def wash_name(yarn: Yarn) -> str:
    """Return what all of a load of this yarn bore."""
    care = yarn.care_set
    if care is None:
        return "Care not known"
    wash, temperature, cycle = load_key(care)
    gentle = ", gentle cycle" if wash == "machine" and cycle == "gentle" else ""
    return f"{wash.capitalize()} wash {temperature}{gentle}"
