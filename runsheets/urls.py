from django.urls import path

from runsheets.views import activities, activity_tables, run_sheets

urlpatterns = [
    path("activities/", activities.activity_list, name="activities"),
    path("activities/new/", activities.activity_new, name="activity-new"),
    path("activities/import/", activity_tables.table_new, name="activity-import"),
    path("activities/import/<int:pk>/", activity_tables.table, name="activity-table"),
    path("activities/import/<int:pk>/act/", activity_tables.table_act, name="activity-table-act"),
    path("activities/activities.csv", activities.activity_export, name="activities-csv"),
    path("activities/<int:pk>/", activities.activity, name="activity"),
    path("activities/<int:pk>/change/", activities.activity_change, name="activity-change"),
    path("activities/<int:pk>/retire/", activities.activity_retire, name="activity-retire"),
    path("clinics/<int:pk>/sheet/", run_sheets.sheet, name="clinic-sheet"),
    path("clinics/<int:pk>/sheet/plan/", run_sheets.sheet_plan, name="clinic-sheet-plan"),
    path("clinics/<int:pk>/sheet/again/", run_sheets.sheet_again, name="clinic-sheet-again"),
    path("clinics/<int:pk>/sheet/rest/", run_sheets.sheet_rest, name="clinic-sheet-rest"),
    path("clinics/<int:pk>/sheet/cards/", run_sheets.sheet_cards, name="clinic-sheet-cards"),
    path("clinics/<int:pk>/sheet/<int:row>/", run_sheets.sheet, name="clinic-sheet-row"),
]
