"""The range: articles, and the compounds, colours and routes they are made with."""

from __future__ import annotations

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
