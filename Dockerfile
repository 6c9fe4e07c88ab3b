# The production image. `app` runs web, worker and beat; `trying` adds a mail catcher for looking around.
FROM python:3.11-slim AS app

ENV PYTHONDONTWRITEBYTECODE=1 PYTHONUNBUFFERED=1 PIP_DISABLE_PIP_VERSION_CHECK=1
WORKDIR /srv/whistlestop
RUN useradd --system --create-home --uid 10001 whistlestop

COPY requirements.txt .
RUN pip install --no-cache-dir -r requirements.txt

COPY manage.py .
COPY config config
COPY demo demo
COPY scheduling scheduling
COPY floor floor
COPY runsheets runsheets
COPY kits kits
COPY shifts shifts
COPY families families
COPY clinics clinics
COPY people people
COPY outbox outbox
COPY core core

# Fonts are cut and static files gathered while building, so that a container starts ready. These settings serve
# no request: they only let the two commands read the settings.
RUN export DATABASE_URL=postgresql://nobody@127.0.0.1:9/none REDIS_URL=redis://127.0.0.1:9/0 \
        SITE_URL=https://build.invalid ALLOWED_HOSTS=build.invalid WHISTLESTOP_MODE=production \
        CARE_KEYS=b25seS13aGlsZS1idWlsZGluZy10aGUtaW1hZ2UtMzI= \
        SECRET_KEY=only-while-building-the-image-and-never-when-it-runs-0123456789 \
    && python -m django make_fonts --settings config.settings \
    && python -m django make_words --settings config.settings \
    && python -m django collectstatic --noinput --settings config.settings \
    && chown -R whistlestop: var

USER whistlestop
EXPOSE 8000
CMD ["gunicorn", "config.wsgi:application", "--bind", "0.0.0.0:8000", "--worker-class", "gthread", \
     "--workers", "2", "--threads", "4", "--graceful-timeout", "20", "--access-logfile", "-", "--no-control-socket", \
     "--logger-class", "config.access_log.WithoutLinks"]

FROM app AS trying
USER root
RUN pip install --no-cache-dir aiosmtpd==1.4.6 && mkdir /mail && chown whistlestop: /mail
USER whistlestop
CMD ["python", "-m", "demo.catcher", "/mail", "--host", "0.0.0.0", "--port", "1025"]
