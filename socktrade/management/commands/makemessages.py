"""Gather the words of every page into the catalogue, phrases of the code among them."""

from typing import Any

from django.core.management.commands import makemessages


class Command(makemessages.Command):
    """Knows the marks of our phrases beside the usual ones, and leaves out what nobody reads."""

    xgettext_options = [
        *makemessages.Command.xgettext_options,
        "--keyword=say",
        "--keyword=say_count:1,2",
        "--keyword=known:1c,2",
        # Their "%" is a percent sign; only what templates fill in is a format of that kind.
        "--flag=say:1:no-python-format",
        "--flag=say_count:1:no-python-format",
        "--flag=say_count:2:no-python-format",
        "--flag=_:1:no-python-format",
        "--flag=gettext_lazy:1:no-python-format",
    ]
    msgmerge_options = [*makemessages.Command.msgmerge_options, "--no-fuzzy-matching"]

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the catalogue without line numbers, so that moving code does not change it."""
        unread = ["tests/*", "socktrade/bench/*", "socktrade/demo/*", "socktrade/history/*"]
        plain = makemessages.Command.xgettext_options
        if options["domain"] == "djangojs":
            unread += ["static/vendor/*", "templates/*"]
            self.xgettext_options = [*plain, "--keyword=sayCount:1,2"]
        else:
            unread.append("static/*")
        options["ignore_patterns"] = [*options["ignore_patterns"], *unread, ".venv/*"]
        options |= {"add_location": "file", "no_wrap": True, "no_obsolete": True}
        super().handle(*args, **options)
