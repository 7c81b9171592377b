"""Pages: yarn."""

from django.shortcuts import render


def yarn_list(request):
    return render(request, "base.html")
