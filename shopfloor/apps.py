"""Wiring of the project package as an app: its static files, template tags and commands."""

from django.apps import AppConfig


class ShopfloorConfig(AppConfig):
    name = "shopfloor"
