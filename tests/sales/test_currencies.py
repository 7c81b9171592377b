"""A whole day in money without minor units and in money with three digits of them.

Minor digits by ISO 4217: yen 0, Kuwaiti dinar 3 (from memory). Tax by hand: a tenth on top
is a eleventh of the price, 2800 / 11 = 254.5...; 5 % inside is 2800 * 5 / 105 = 133.3...
"""

import pytest
from django.urls import reverse

from sales.models import Sale
from sales.services.tiles import tiles_of
from socktrade.models import Workshop
from tests.factories.sales import open_stall
from tests.sales.papers import text_of

pytestmark = pytest.mark.django_db

YEN = {
    "currency": "JPY", "percent": 10, "given": "3000", "tin": "7,800",
    "price": "¥2,800", "change": "¥200", "tax": (255, "¥255"), "float": "¥5,000",
}  # fmt: skip
DINAR = {
    "currency": "KWD", "percent": 5, "given": "3", "tin": "7.800",
    "price": "KWD2.800", "change": "KWD0.200",
    "tax": (133, "KWD0.133"), "float": "KWD5.000",
}  # fmt: skip


@pytest.mark.parametrize("money", [YEN, DINAR], ids=["yen", "dinar"])
def test_a_sale_a_close_and_a_day_sheet_keep_the_currency_s_digits(page, maker, money):
    Workshop.objects.update(currency=money["currency"])
    day = open_stall(maker, pairs=2, tax_percent=money["percent"], tax_included=True)
    stall = reverse("sales:stall", args=[day.pk])

    page.post(reverse("sales:stall_add", args=[day.pk]), {"tile": tiles_of(day)[0].key})
    shown = page.get(stall)
    assert money["price"] in shown.text
    typed = {"paid_by": "cash", "key": shown.context["cart"].key, "given": money["given"]}
    done = page.post(reverse("sales:stall_sell", args=[day.pk]), typed, follow=True)
    page.post(reverse("sales:day_close", args=[day.pk]), {"counted": money["tin"]})

    assert money["change"] in done.text
    sale = Sale.objects.get()
    assert (sale.total_minor, sale.tax_minor) == (2800, money["tax"][0])
    receipt = page.get(reverse("sales:receipt", args=[sale.pk])).text
    assert money["tax"][1] in receipt
    sheet = page.get(day.get_absolute_url())
    assert sheet.context["takings"].difference == 0
    paper = text_of(page.get(reverse("sales:day_sheet", args=[day.pk])))
    for words in (money["price"], money["tax"][1], money["float"]):
        assert words in sheet.text
        assert words in paper


@pytest.mark.parametrize(("currency", "tin"), [("JPY", "78.5"), ("KWD", "7.8001")])
def test_more_digits_than_the_currency_has_are_refused_at_the_field(page, maker, currency, tin):
    Workshop.objects.update(currency=currency)
    day = open_stall(maker)

    refused = page.post(reverse("sales:day_close", args=[day.pk]), {"counted": tin})

    assert refused.status_code == 422
    assert "counted" in refused.context["form"].errors
    day.refresh_from_db()
    assert day.state == "open"
