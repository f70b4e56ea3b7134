"""Addresses of signing in, of the Studio pages, and of what belongs to every area."""

from django.urls import path

from shopfloor.studio.views import bench_tablet, everywhere, looking_back, pages, signing_in

urlpatterns = [
    path("sign-in/", signing_in.sign_in, name="sign-in"),
    path("sign-in/link/<str:secret>/", signing_in.sign_in_by_link, name="sign-in-link"),
    path("sign-in/password/", signing_in.choose_password, name="choose-password"),
    path("sign-out/", signing_in.sign_out, name="sign-out"),
    path("bench-tablet/", bench_tablet.bench_tablet, name="bench-tablet"),
    path("bench-tablet/change/", bench_tablet.person_change, name="person-change"),
    path("undo/<int:act_id>/", everywhere.undo, name="undo"),
    path("p/<str:mark>", everywhere.piece, name="short-piece"),
    path("t/<str:code>", everywhere.tub, name="short-tub"),
    path("m/<int:copy_id>", everywhere.mould_copy, name="short-mould"),
    path("o/<str:number>", everywhere.order, name="short-order"),
    path("studio/", pages.studio, name="studio"),
    path("studio/history/", looking_back.history, name="history"),
    path("studio/signed-in/<slug:mark>/end/", looking_back.visit_end, name="visit-end"),
    path("studio/bench-tablet/", bench_tablet.tablet_mark, name="tablet-mark"),
    path("studio/bench-tablet/<int:tablet_id>/end/", bench_tablet.tablet_end, name="tablet-end"),
    path("studio/pin/", bench_tablet.pin_keep, name="pin-keep"),
    path("studio/hours/", pages.hours_add, name="hours-add"),
    path("studio/hours/<int:hours_id>/remove/", pages.hours_remove, name="hours-remove"),
    path("studio/closed-days/", pages.days_close, name="days-close"),
    path("studio/closed-days/<int:day_id>/open/", pages.day_open, name="day-open"),
    path("studio/holidays/", pages.holidays_keep, name="holidays-keep"),
    path("studio/holidays/in/", pages.holiday_work, name="holiday-work"),
    path("studio/holidays/out/", pages.holiday_keep, name="holiday-keep"),
    path("studio/settings/", pages.settings_keep, name="settings-keep"),
    path("studio/people/", pages.person_add, name="person-add"),
    path("studio/people/<int:user_id>/link/", pages.person_link, name="person-link"),
    path("studio/people/<int:user_id>/close/", pages.person_close, name="person-close"),
    path("studio/people/<int:user_id>/open/", pages.person_open, name="person-open"),
]
