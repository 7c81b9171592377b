"""Pages: stall."""

from django.shortcuts import render
