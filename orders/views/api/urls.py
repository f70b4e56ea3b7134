"""Addresses for programs."""

from django.urls import path

from orders.views.api import document, orders, stores

app_name = "api"
urlpatterns = [
    path("openapi.json", document.openapi, name="document"),
    path("orders", orders.orders, name="orders"),
    path("orders/<str:number>", orders.order, name="order"),
    path("orders/<str:number>/call-off", orders.calling_off, name="call-off"),
    path("promise", orders.promise, name="promise"),
    path("range", orders.offered, name="range"),
    path("stores", stores.stores, name="stores"),
    path("<path:rest>", document.nothing_there, name="nothing-there"),
]
