"""Addresses of the calendar feed."""

from django.urls import path

from shopfloor.feed import views

urlpatterns = [
    path("calendar/<str:secret>.ics", views.calendar, name="calendar"),
    path("studio/calendar/", views.renew, name="calendar-renew"),
    path("studio/calendar/end/", views.end, name="calendar-end"),
]
