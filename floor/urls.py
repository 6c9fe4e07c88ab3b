from django.urls import path

from floor.views import day, door_policy, incidents, opening, page, phone, stand_ins

urlpatterns = [
    path("floor/sw.js", page.floor_worker, name="floor-worker"),
    path("floor/o/<str:token>/", opening.floor_open, name="floor-open"),
    path("floor/s/<str:token>/", opening.floor_open_stand_in, name="floor-open-stand-in"),
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
    path("clinics/<int:pk>/floor/", opening.floor_open_here, name="floor-open-here"),
    path("clinics/<int:pk>/floor/mail/", opening.floor_mail, name="floor-mail"),
    path("clinics/<int:pk>/day/phones/<int:phone>/release/", opening.floor_release, name="floor-release"),
    path("clinics/<int:pk>/stand-ins/", stand_ins.stand_ins, name="clinic-stand-ins"),
    path("clinics/<int:pk>/stand-ins/<int:row>/end/", stand_ins.stand_in_end, name="clinic-stand-in-end"),
    path("clinics/<int:pk>/stand-ins/<int:row>/mail/", stand_ins.stand_in_mail, name="clinic-stand-in-mail"),
]
