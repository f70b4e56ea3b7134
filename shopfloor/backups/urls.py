"""Addresses of copies."""

from django.urls import path

from shopfloor.backups import views

urlpatterns = [path("studio/copies/", views.copy_ask, name="copy-ask")]
