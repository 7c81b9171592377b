"""Pages: sells."""

from django.shortcuts import render


def sells(request):
    return render(request, "base.html")
