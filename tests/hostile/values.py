"""What a careless or a hostile hand sends, and what a form would like instead."""

from hypothesis import strategies as st

HOSTILE = (
    "",
    " ",
    "\x00",
    "sock\x00",
    "\x1b[2J",
    "0",
    "-0",
    "-1",
    "00000000000000000001",
    "1" + "0" * 30,
    "9" * 400,
    "9223372036854775807",
    "9223372036854775808",
    "-9223372036854775809",
    "2147483648",
    "1e400",
    "1e308",
    "-1e-400",
    "1e999999999",
    "nan",
    "-inf",
    "Infinity",
    "0x1F",
    "1_000",
    "1/0",
    "1/3",
    "1,5",
    "٣",
    "²",
    "½",
    "9**9**9 mm",
    "1e300 mm",
    "0.0000000001 mm",
    "1e300 g / 1e-300 m",
    "100 g / 0 m",
    "None",
    "true",
    "[]",
    "{}",
    "[[" * 40,
    "0001-01-01",
    "9999-12-31",
    "1066-10-14",
    "2026-02-30",
    "0000-00-00",
    "99999-01-01",
    "24:61",
    "2026-06-04T25:00",
    "=cmd|' /C calc'!A0",
    "+1+1",
    "@SUM(A1)",
    "<script>alert(1)</script>",
    '"><svg onload=alert(1)>',
    "javascript:alert(1)",
    "{{7*7}}{% debug %}",
    "%s%n%(x)s{0.__class__}",
    "' OR 1=1; DROP TABLE production_sock; --",
    "../../../../etc/passwd",
    "\u202eabc\u2066",
    "Z\u0351\u036b\u0343a\u0323\u0321lgo",
    "\U0001f9e6" * 30,
    "ﷺ" * 50,
    "\r\nSet-Cookie: a=b",
    "a" * 200,
    "a" * 5000,
    "P" + "9" * 30,
    "P0",
    "212-99999999999999999999",
    "6f6f1c5e-6a5f-5d0b-9a86-5f3c5b8f2a11",
)

LIKELY = ("1", "2", "5", "12", "250", "2026-06-04", "10:30", "word", "one\ntwo", "on")

# What suits a field of each kind; a form's own choices and initial values come first.
SUITS = {
    "number": ("1", "3", "12"),
    "date": ("2026-06-04", "2027-05-06"),
    "time": ("10:30",),
    "datetime-local": ("2026-06-04T10:30",),
    "checkbox": ("on",),
    "email": ("someone@example.com",),
    "password": ("toe-and-heel-7",),
    "file": ("a,b\n1,2\n",),
    "DecimalField": ("2.5", "12"),
    "FloatField": ("2.5", "60"),
    "IntegerField": ("1", "3", "12"),
    "DateField": ("2026-06-04", "2027-05-06"),
    "TimeField": ("10:30",),
    "MoneyField": ("12.50", "28"),
    "LengthField": ("245 mm", "10 in"),
    "MassField": ("50 g", "100"),
    "YarnLengthField": ("400 m",),
    "GramsField": ("61",),
    "CharField": ("word", "sage 2"),
    "BooleanField": ("on",),
}


def hostile() -> st.SearchStrategy[str]:
    """Return texts that nobody means."""
    return st.sampled_from(HOSTILE) | st.sampled_from(HOSTILE) | st.text(max_size=30)


def whatever() -> st.SearchStrategy[object]:
    """Return JSON of any shape, with the values above in it."""
    leaf = (
        hostile()
        | st.just("\ud800")
        | st.none()
        | st.booleans()
        | st.floats()
        | st.sampled_from((-1, 0, 1, 2**31, 2**63, -(2**63) - 1, 10**30, 10**400))
    )
    return st.recursive(
        leaf,
        lambda inner: (
            st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
        ),
        max_leaves=12,
    )


BROKEN_JSON = (
    "",
    "null",
    "[]",
    "{",
    "NaN",
    '{"acts": null}',
    '{"acts": {}}',
    '{"acts": [1e999, -Infinity, NaN]}',
    '{"acts": ["\\ud800"], "device": "\\ud800", "book": null}',
    '{"acts": [{"kind": "ask", "words": "\\ud800\\u0000", "key": "\\udfff"}]}',
    '{"acts": [{"kind": "sale", "kind": "undo", "undoes": []}]}',
    '{"acts": ' + "[" * 100_000 + "]" * 100_000 + "}",
    '{"acts": [' + '{"a":' * 900 + "1" + "}" * 900 + "]}",
    '{"acts": [' + "9" * 5000 + '], "sent_at": ' + "9" * 4000 + "}",
)


def parcels() -> st.SearchStrategy[object]:
    """Return parcels of a phone that are nearly right, with any JSON in the wrong places."""
    odd = whatever()
    line = _mostly(
        number=st.sampled_from(("P1", "P1001", "1002", "")),
        price_minor=st.integers(0, 5000),
        pattern=st.integers(1, 9),
        yarn=st.integers(1, 9),
        quality=st.sampled_from(("first", "second")),
        list_minor=st.integers(0, 5000),
        reason=st.just("market end"),
    )
    back = _mostly(number=st.sampled_from(("P1", "P1001")), refund_minor=st.integers(0, 5000))
    keys = st.sampled_from([f"6f6f1c5e-6a5f-5d0b-9a86-5f3c5b8f2a{one:02d}" for one in range(12)])
    act = _mostly(
        kind=st.sampled_from(("sale", "return", "ask", "undo")),
        key=keys,
        undoes=keys,
        at=st.integers(1_700_000_000_000, 1_800_000_000_000),
        paid_by=st.sampled_from(("cash", "card")),
        lines=st.lists(line, max_size=3),
        back=st.lists(back, max_size=2),
        tax_minor=st.integers(0, 300),
        words=st.text(max_size=20),
        pattern=st.integers(1, 9),
    )
    sent = st.fixed_dictionaries({"acts": st.lists(act | odd, max_size=4)})
    return st.builds(lambda one, more: {**more, **one}, sent, st.just({}) | _side(odd)) | odd


def _side(odd):
    return st.fixed_dictionaries({}, optional={"device": odd, "sent_at": odd, "more": odd})


def _mostly(**fields):
    """Return objects whose fields mostly suit; each may be missing, one may be anything."""
    some = st.fixed_dictionaries({}, optional=fields)
    spoilt = st.dictionaries(st.sampled_from(sorted(fields)), whatever(), max_size=1)
    full = st.fixed_dictionaries(fields)
    return st.builds(lambda base, odd: {**base, **odd}, full | full | some, st.just({}) | spoilt)
