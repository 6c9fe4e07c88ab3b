from django.conf import settings
from django.urls import include, path

from config import health
from demo import log_in_page, mail_page

handler400 = "config.error_views.not_readable"
handler403 = "config.error_views.not_open"
handler404 = "config.error_views.not_found"
handler500 = "config.error_views.broken"

urlpatterns = [
    path("health/alive", health.alive, name="health-alive"),
    path("health/ready", health.ready, name="health-ready"),
    path("", include("outbox.urls")),
    path("", include("people.urls")),
    path("", include("clinics.urls")),
    path("", include("families.urls")),
    path("", include("shifts.urls")),
    path("", include("kits.urls")),
    path("", include("runsheets.urls")),
    path("", include("floor.urls")),
    path("", include("scheduling.urls")),
]
if settings.MAIL_CATCHER_DIR:
    urlpatterns += [
        path("mail/", mail_page.mail_list, name="mail"),
        path("mail/<str:name>/", mail_page.mail_one, name="mail-one"),
    ]
if settings.MODE == "demo":
    urlpatterns.append(path("demo/<slug:role>/", log_in_page.log_in, name="demo-log-in"))
