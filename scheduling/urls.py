from django.urls import path

from scheduling.views import ahead, booking_links, bookings, changing, clinics, feeds, multi_date

urlpatterns = [
    path("", ahead.home, name="home"),
    path("ahead/", ahead.ahead, name="ahead"),
    path("clinics/", clinics.clinic_list, name="clinics"),
    path("clinics/calendar/", feeds.office_feed, name="office-feed"),
    path("centers/<int:pk>/calendar/", feeds.center_feed, name="center-feed"),
    path("clinics/several/", multi_date.multi_date_new, name="clinics-multi-date"),
    path("clinics/new/", bookings.clinic_new, name="clinic-new"),
    path("clinics/<int:pk>/", clinics.clinic, name="clinic"),
    path("clinics/<int:pk>/change/", changing.clinic_change, name="clinic-change"),
    path("clinics/<int:pk>/needs/", bookings.clinic_needs, name="clinic-needs"),
    path("clinics/<int:pk>/repeat/", bookings.clinic_repeat, name="clinic-repeat"),
    path("clinics/<int:pk>/cancel/", changing.clinic_cancel, name="clinic-cancel"),
    path("bookings/<int:pk>/take-suggestion/", changing.take_suggestion, name="booking-take-suggestion"),
    path("bookings/<int:pk>/ask-again/", bookings.ask_again, name="booking-ask-again"),
    path("c/<str:token>/", booking_links.booking_answer, name="booking-answer"),
    path("c/<str:token>/check/", multi_date.booking_check, name="booking-check"),
    path("d/<str:token>/", multi_date.booking_request, name="booking-request"),
    path("d/<str:token>/check/<int:pk>/", multi_date.booking_request_check, name="booking-request-check"),
    path("f/c/<str:token>.ics", feeds.center_ics, name="center-feed-ics"),
    path("f/o/<str:token>.ics", feeds.office_ics, name="office-feed-ics"),
]
