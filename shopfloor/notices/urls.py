"""Addresses of the notices, and of what comes by e-mail."""

from django.urls import path

from shopfloor.notices import views

urlpatterns = [
    path("notices/", views.notices, name="notices"),
    path("notices/now/", views.now, name="notices-now"),
    path("studio/mail/", views.mail, name="mail"),
    path("studio/mail/link/", views.mail_link, name="mail-link"),
    path("studio/mail/<int:letter_id>/again/", views.mail_again, name="mail-again"),
    path("mail/end/<str:token>/", views.mail_end, name="mail-end"),
    path("mail/confirm/<str:token>/", views.mail_confirm, name="mail-confirm"),
]
