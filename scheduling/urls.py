from django.urls import path

from scheduling.views import ahead, bookings, clinics, cover, horizon, kits, links, outbox, stop_reminders

urlpatterns = [
    path("", ahead.home, name="home"),
    path("ahead/", ahead.ahead, name="ahead"),
    path("clinics/", clinics.clinic_list, name="clinics"),
    path("clinics/new/", bookings.clinic_new, name="clinic-new"),
    path("clinics/<int:pk>/", clinics.clinic, name="clinic"),
    path("clinics/<int:pk>/change/", bookings.clinic_change, name="clinic-change"),
    path("clinics/<int:pk>/cancel/", bookings.clinic_cancel, name="clinic-cancel"),
    path("bookings/<int:pk>/take-suggestion/", bookings.take_suggestion, name="booking-take-suggestion"),
    path("bookings/<int:pk>/ask-again/", bookings.ask_again, name="booking-ask-again"),
    path("shifts/<int:pk>/who/", cover.who, name="shift-who"),
    path("shifts/<int:pk>/ask/", cover.ask, name="shift-ask"),
    path("assignments/<int:pk>/release/", cover.release, name="assignment-release"),
    path("horizon/", horizon.horizon, name="horizon"),
    path("horizon/horizon.csv", horizon.horizon_csv, name="horizon-csv"),
    path("kits/", kits.kit_list, name="kits"),
    path("kits/<int:pk>/move/", kits.kit_move, name="kit-move"),
    path("outbox/", outbox.outbox, name="outbox"),
    path("outbox/<int:pk>/try-again/", outbox.try_again, name="note-try-again"),
    # By link, no account. Short, because mail programs break long lines.
    path("r/<str:token>/", links.shift_reply, name="shift-reply"),
    path("c/<str:token>/", links.booking_answer, name="booking-answer"),
    path("s/<str:token>/", stop_reminders.stop_reminders, name="stop-reminders"),
]
