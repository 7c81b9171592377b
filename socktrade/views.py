"""Pages of the whole book."""

from django.shortcuts import render


def today(request):
    return render(request, "base.html")


def find(request):
    return render(request, "base.html")


def act_undo(request):
    return render(request, "base.html")


def workshop(request):
    return render(request, "base.html")


def glossary(request):
    return render(request, "base.html")


def sign_in(request):
    return render(request, "base.html")


def sign_out(request):
    return render(request, "base.html")
