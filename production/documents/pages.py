"""Pages of labels: boxes at their places, things in them, and the style sheet that puts them there.

The work of styling is paid once: a declaration that comes again is not written again, and
things stand in the flow of their box, which the layout engine does several times faster
than things placed one by one.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from production.core.labelgrid import Grid


@dataclass(frozen=True, slots=True)
class Thing:
    """Something with its place in a box, from the box's upper left corner [mm].

    Attributes:
        x_mm: From the left.
        y_mm: From the top.
        width_mm: Width; 0 lets it be as wide as the box.
        height_mm: Height.
        lines: Its lines; empty for a picture or a mark.
        style: What else the style sheet says of it, in our own words only.
        src: Address of a picture.
        kind: Name that the common style sheet knows it by, if any.
    """

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    lines: tuple[str, ...] = ()
    style: str = ""
    src: str = ""
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Node:
    """A thing as the template wants it."""

    css: str
    text: str
    src: str


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the page with its nodes."""

    css: str
    nodes: tuple[Node, ...]


@dataclass(slots=True)
class TagPrint:
    """Pages of labels with the style sheet that puts every word in its place."""

    grid: Grid
    pages: list[list[Box]] = field(default_factory=list)
    _rules: dict[str, str] = field(default_factory=dict)

    @property
    def css(self) -> SafeString:
        """The style sheet; made of numbers and our own names only."""
        width, height = self.grid.page_width_mm, self.grid.page_height_mm
        page = (
            f"@page{{size:{width:g}mm {height:g}mm;margin:0!important;"
            "@bottom-right{content:none!important}}"
            f".sheet{{width:{width:g}mm;height:{height - 0.05:.2f}mm}}"
        )
        rules = "".join(f".{name}{{{said}}}" for said, name in self._rules.items())
        return mark_safe(page + rules)  # noqa: S308 - no text of anybody's in it

    def blank(self, page: int) -> None:
        """See that there are this many pages, empty where nothing is put on them."""
        while len(self.pages) < page:
            self.pages.append([])

    def put(
        self,
        page: int,
        box: tuple[float, float, float, float],
        things: Iterable[Thing] = (),
        *,
        kind: str = "label",
        style: str = "",
    ) -> None:
        """Put a box on a page: left, top, width and height [mm], and things into it."""
        self.blank(page)
        left, top, width, height = box
        said = (
            f"left:{left:.3f}mm;top:{top:.3f}mm;width:{width:.3f}mm;height:{height:.3f}mm;{style}"
        )
        nodes = tuple(self._in_flow(things))
        self.pages[page - 1].append(Box(f"{kind} {self._name(said)}", nodes))

    def _in_flow(self, things: Iterable[Thing]) -> Iterable[Node]:
        bottom = 0.0
        for thing in things:
            said = (
                f"margin:{thing.y_mm - bottom:.3f}mm 0 0 {thing.x_mm:.3f}mm;"
                f"height:{thing.height_mm:.3f}mm;{thing.style}"
            )
            if thing.width_mm:
                said += f";width:{thing.width_mm:.3f}mm"
            bottom = thing.y_mm + thing.height_mm
            name = self._name(said)
            css = f"{thing.kind} {name}" if thing.kind else name
            yield Node(css, "\n".join(thing.lines), thing.src)

    def _name(self, said: str) -> str:
        return self._rules.setdefault(said, f"n{len(self._rules)}")


def tag_pages(paper: TagPrint) -> dict[str, Any]:
    """Return what the templates of tags want."""
    return {"css": paper.css, "pages": paper.pages}
