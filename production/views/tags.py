"""Pages: tags."""

from django.shortcuts import render


def tag_list(request):
    return render(request, "base.html")
