"""Addresses of the stores."""

from django.urls import path

from inventory.views import (
    counting,
    decanting,
    labels,
    ledger,
    lists,
    materials,
    receiving,
    rounds,
    stores,
    tubs,
)

app_name = "inventory"
urlpatterns = [
    path("", stores.stores, name="stores"),
    path("decant/", decanting.decant_page, name="decant"),
    path("count/", counting.count_page, name="count"),
    path("round/", rounds.show_round, name="round"),
    path("round/begin/", rounds.begin, name="round-begin"),
    path("round/tubs/<str:code>/", rounds.read_page, name="round-read"),
    path("round/differences/", rounds.differences, name="round-differences"),
    path("round/post/", rounds.post_page, name="round-post"),
    path("round/lay-down/", rounds.lay_down, name="round-lay-down"),
    path("round/sheet/", rounds.sheet, name="round-sheet"),
    path("spill/", counting.spill_page, name="spill"),
    path("receive/", receiving.receive_page, name="receive"),
    path("expect/", receiving.expect_page, name="expect"),
    path("lists/<str:name>/", lists.stores_list, name="list"),
    path("ledger/<str:form>/", ledger.ledger_file, name="ledger-file"),
    path("tubs/", lists.tubs_page, name="tubs"),
    path("tubs/<str:code>/", tubs.tub, name="tub"),
    path("tubs/<str:code>/change/", tubs.edit_tub, name="tub-change"),
    path("tubs/<str:code>/lumps/", tubs.lumps, name="tub-lumps"),
    path("tubs/<str:code>/retire/", tubs.retire, name="tub-retire"),
    path("tubs/<str:code>/label/", labels.tub_label, name="tub-label"),
    path("lots/<str:code>/", tubs.lot, name="lot"),
    path("materials/new/", materials.edit_material, name="material-new"),
    path("materials/<int:material_id>/", materials.show_material, name="material"),
    path("materials/<int:material_id>/change/", materials.edit_material, name="material-change"),
    path("materials/<int:material_id>/tub/", tubs.make_tub_page, name="tub-make"),
    path("suppliers/new/", materials.edit_supplier, name="supplier-new"),
    path("suppliers/<int:supplier_id>/", materials.edit_supplier, name="supplier"),
]
