from django.urls import path

from clinics.views import activities, centers, hours, outdoors

urlpatterns = [
    path("activities/", activities.activity_list, name="activities"),
    path("activities/new/", activities.activity_new, name="activity-new"),
    path("activities/import/", activities.activity_import, name="activity-import"),
    path("activities/activities.csv", activities.activity_export, name="activities-csv"),
    path("activities/<int:pk>/", activities.activity, name="activity"),
    path("activities/<int:pk>/change/", activities.activity_change, name="activity-change"),
    path("activities/<int:pk>/retire/", activities.activity_retire, name="activity-retire"),
    path("outdoors/", outdoors.outdoors, name="outdoors"),
    path("centers/<int:pk>/hours/", hours.center_hours, name="center-hours"),
    path("closed/<int:pk>/remove/", hours.closed_remove, name="closed-remove"),
    path("centers/", centers.center_list, name="centers"),
    path("centers/new/", centers.center_new, name="center-new"),
    path("centers/<int:pk>/", centers.center, name="center"),
    path("centers/<int:pk>/change/", centers.center_change, name="center-change"),
    path("centers/<int:pk>/spaces/new/", centers.space_new, name="space-new"),
    path("spaces/<int:pk>/change/", centers.space_change, name="space-change"),
]
