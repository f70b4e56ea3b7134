"""Addresses of the stores."""

from django.urls import path

from inventory.views import counting, decanting, labels, materials, receiving, stores, tubs

app_name = "inventory"
urlpatterns = [
    path("", stores.stores, name="stores"),
    path("decant/", decanting.decant_page, name="decant"),
    path("count/", counting.count_page, name="count"),
    path("spill/", counting.spill_page, name="spill"),
    path("receive/", receiving.receive_page, name="receive"),
    path("expect/", receiving.expect_page, name="expect"),
    path("tubs/", tubs.tubs_page, name="tubs"),
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
