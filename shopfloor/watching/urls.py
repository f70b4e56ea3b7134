"""The address for programs that watch."""

from django.urls import path

from shopfloor.watching import views

urlpatterns = [path("healthz", views.healthz, name="healthz")]
