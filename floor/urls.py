from django.urls import path

from floor.views import day, door_policy, incidents, page, phone

urlpatterns = [
    path("floor/sw.js", page.floor_worker, name="floor-worker"),
    path("floor/o/<str:token>/", page.floor_open, name="floor-open"),
    path("floor/<int:pk>/", page.floor, name="floor"),
    path("floor/<int:pk>/app.webmanifest", page.floor_manifest, name="floor-manifest"),
    path("policy/door/", door_policy.door_policy, name="door-policy"),
    path("floor/<int:pk>/data/", phone.floor_data, name="floor-data"),
    path("floor/<int:pk>/sync/", phone.floor_sync, name="floor-sync"),
    path("floor/<int:pk>/leave/", phone.floor_leave, name="floor-leave"),
    path("clinics/<int:pk>/day/", day.floor_day, name="clinic-day"),
    path("clinics/<int:pk>/day/out/", day.floor_day_out, name="clinic-day-out"),
    path("clinics/<int:pk>/day/settle/", day.floor_day_settle, name="clinic-day-settle"),
    path("clinics/<int:pk>/day/twins/", day.floor_day_twins, name="clinic-day-twins"),
    path("clinics/<int:pk>/day/close/", day.floor_day_close, name="clinic-day-close"),
    path("clinics/<int:pk>/day/incidents/<int:incident>/", incidents.incident, name="clinic-incident"),
    path("clinics/<int:pk>/floor/", page.floor_open_here, name="floor-open-here"),
    path("clinics/<int:pk>/floor/mail/", page.floor_mail, name="floor-mail"),
]
