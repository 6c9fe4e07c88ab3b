from django.urls import path

from clinics.views import agreements, centers, contacts, hours, map, outdoors, photos

urlpatterns = [
    path("outdoors/", outdoors.outdoors, name="outdoors"),
    path("centers/<int:pk>/hours/", hours.center_hours, name="center-hours"),
    path("centers/<int:pk>/hours/save/", hours.hours_save, name="center-hours-save"),
    path("centers/<int:pk>/hours/closed/", hours.closed_add, name="closed-add"),
    path("centers/<int:pk>/hours/holidays/", hours.holidays_add, name="holidays-add"),
    path("closed/<int:pk>/remove/", hours.closed_remove, name="closed-remove"),
    path("centers/", centers.center_list, name="centers"),
    path("centers/map/", map.center_map, name="center-map"),
    path("centers/new/", centers.center_new, name="center-new"),
    path("centers/<int:pk>/", centers.center, name="center"),
    path("centers/<int:pk>/contacts/", contacts.center_contacts, name="center-contacts"),
    path("centers/<int:pk>/agreements/", agreements.center_agreements, name="center-agreements"),
    path("agreements/<int:pk>/file/", agreements.agreement_file, name="agreement-file"),
    path("agreements/<int:pk>/take-back/", agreements.agreement_take_back, name="agreement-take-back"),
    path("contacts/<int:pk>/change/", contacts.contact_change, name="contact-change"),
    path("contacts/<int:pk>/retire/", contacts.contact_retire, name="contact-retire"),
    path("contacts/<int:pk>/take-up/", contacts.contact_take_up, name="contact-take-up"),
    path("centers/<int:pk>/change/", centers.center_change, name="center-change"),
    path("centers/<int:pk>/spaces/new/", centers.space_new, name="space-new"),
    path("spaces/<int:pk>/photos/", photos.space_photos, name="space-photos"),
    path("photos/<int:pk>/", photos.photo, name="photo"),
    path("photos/<int:pk>/small/", photos.photo_small, name="photo-small"),
    path("photos/<int:pk>/remove/", photos.photo_remove, name="photo-remove"),
    path("spaces/<int:pk>/change/", centers.space_change, name="space-change"),
]
