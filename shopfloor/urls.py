"""All addresses, app by app."""

from django.urls import include, path

urlpatterns = [
    path("", include("shopfloor.journeys.urls")),
    path("", include("shopfloor.studio.urls")),
    path("", include("shopfloor.notices.urls")),
    path("", include("shopfloor.kept.urls")),
    path("", include("shopfloor.feed.urls")),
    path("", include("shopfloor.backups.urls")),
    path("", include("shopfloor.watching.urls")),
    path("", include("production.urls")),
    path("orders/", include("orders.urls")),
    path("api/", include("orders.views.api.urls")),
    path("stores/", include("inventory.urls")),
]

handler500 = "shopfloor.faults.handler500"
