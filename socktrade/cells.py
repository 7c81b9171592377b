"""Cells of CSV files that people open with a spreadsheet."""

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def safe_cell(cell: object) -> object:
    """Return a cell with an apostrophe before a text that would be run as a formula."""
    if isinstance(cell, str) and cell.lstrip(" ").startswith(FORMULA_STARTS):
        return f"'{cell}"
    return cell
