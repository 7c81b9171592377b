"""Forms that ask and change nothing."""

from typing import Any

from socktrade.forms import ActForm


class AskForm(ActForm):
    """A form sent by GET: what it shows has an address, and records no act."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["key"]
