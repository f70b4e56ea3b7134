"""Addresses of the orders."""

from django.urls import path

from orders.views import after_sale, clients, customers, importing, listing, packing, promising, taking

app_name = "orders"
urlpatterns = [
    path("", listing.orders, name="orders"),
    path("closed/", listing.closed, name="closed"),
    path("shelf-wishes/", listing.wishes, name="wishes"),
    path("programs/", clients.programs, name="programs"),
    path("programs/<int:client_id>/end/", clients.end, name="program-end"),
    path("type/", taking.type_by_hand, name="type"),
    path("promise/", promising.promise, name="promise"),
    path("market-day/", taking.market_day, name="market-day"),
    path("import/", importing.choose_file, name="import"),
    path("import/<str:token>/", importing.show, name="import-preview"),
    path("import/<str:token>/columns/", importing.columns, name="import-columns"),
    path("import/<str:token>/mend/", importing.mend, name="import-mend"),
    path("import/<str:token>/leave-out/", importing.leave_out, name="import-leave-out"),
    path("import/<str:token>/stop/", importing.stop, name="import-stop"),
    path("import/<str:token>/read/", importing.read_again, name="import-read"),
    path("import/<str:token>/keep/", importing.keep, name="import-keep"),
    path("import/<str:token>/rows-to-mend.csv", importing.left, name="import-left"),
    path("order/<str:number>/", taking.order, name="order"),
    path("order/<str:number>/change/", taking.change, name="change"),
    path("order/<str:number>/call-off/", taking.call_order_off, name="call-off"),
    path("order/<str:number>/assign/", taking.assign, name="assign"),
    path("customer/<int:customer_id>/", customers.customer, name="customer"),
    path("customer/<int:customer_id>/held.json", customers.held, name="customer-held"),
    path("customer/<int:customer_id>/erase/", customers.erase, name="customer-erase"),
    path("breakage/", after_sale.breakage_page, name="breakage"),
    path("order/<str:number>/came-back/", after_sale.came_back, name="came-back"),
    path("order/<str:number>/replace/", after_sale.replace, name="replace"),
    path("order/<str:number>/pack/", packing.pack, name="pack"),
    path("order/<str:number>/pack/tick/", packing.tick, name="tick"),
    path("order/<str:number>/ship/", packing.ship, name="ship"),
    path("order/<str:number>/parcel/<int:parcel_id>/carrier/", packing.carrier, name="carrier"),
    path("order/<str:number>/packing-slip/", packing.packing_slip, name="packing-slip"),
    path("order/<str:number>/care-cards/", packing.care_cards, name="care-cards"),
]
