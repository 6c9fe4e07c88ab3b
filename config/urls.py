from django.conf import settings
from django.urls import include, path

from config import demopage, health, mailpage

handler400 = "config.problems.not_readable"
handler403 = "config.problems.not_open"
handler404 = "config.problems.not_found"
handler500 = "config.problems.broken"

urlpatterns = [
    path("health/alive", health.alive, name="health-alive"),
    path("health/ready", health.ready, name="health-ready"),
    path("", include("outbox.urls")),
    path("", include("people.urls")),
    path("", include("clinics.urls")),
    path("", include("scheduling.urls")),
]
if settings.MAIL_CATCHER_DIR:
    urlpatterns += [
        path("mail/", mailpage.mail_list, name="mail"),
        path("mail/<str:name>/", mailpage.mail_one, name="mail-one"),
    ]
if settings.MODE == "demo":
    urlpatterns.append(path("demo/<slug:role>/", demopage.log_in, name="demo-log-in"))
