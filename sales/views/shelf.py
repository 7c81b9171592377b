"""Pages: shelf."""

from django.shortcuts import render


def shelf(request):
    return render(request, "base.html")
