from django.urls import path

from kits.views import kit_care, kit_kinds, kits

urlpatterns = [
    path("kits/", kits.kit_list, name="kits"),
    path("kits/new/", kits.kit_new, name="kit-new"),
    path("kits/plans/", kits.kit_plans_page, name="kit-plans"),
    path("kits/plans/<int:pk>/", kits.kit_plan, name="kit-plan"),
    path("kits/plans/<int:pk>/book/", kits.kit_plan_book, name="kit-plan-book"),
    path("kits/code/", kit_care.kit_code, name="kit-code"),
    path("kits/labels/", kit_care.kit_labels, name="kit-labels"),
    path("kits/kinds/", kit_kinds.kit_kinds, name="kit-kinds"),
    path("kits/kinds/new/", kit_kinds.kit_kind_new, name="kit-kind-new"),
    path("kits/kinds/<int:pk>/", kit_kinds.kit_kind_change, name="kit-kind-change"),
    path("kits/losses/<int:pk>/right/", kit_care.kit_loss_right, name="kit-loss-right"),
    path("kits/<int:pk>/label/", kit_care.kit_labels, name="kit-label"),
    path("kits/<int:pk>/check/", kit_care.kit_check, name="kit-check"),
    path("kits/<int:pk>/count/", kit_care.kit_count, name="kit-count"),
    path("kits/<int:pk>/loss/", kit_care.kit_loss, name="kit-loss"),
    path("kits/<int:pk>/", kits.kit, name="kit"),
    path("kits/<int:pk>/change/", kits.kit_change, name="kit-change"),
    path("clinics/<int:pk>/pack/", kits.pack, name="clinic-pack"),
    path("kits/<int:pk>/move/", kits.kit_move, name="kit-move"),
]
