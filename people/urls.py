from django.urls import path

from people.views import accounts, applications, clearances, imports, volunteers

urlpatterns = [
    path("log-in/", accounts.SignIn.as_view(), name="login"),
    path("log-out/", accounts.SignOut.as_view(), name="logout"),
    path("password/", accounts.ChangePassword.as_view(), name="password_change"),
    path("password/changed/", accounts.PasswordChanged.as_view(), name="password_change_done"),
    path("password/forgotten/", accounts.ForgotPassword.as_view(), name="password_reset"),
    path("password/forgotten/sent/", accounts.ForgotPasswordSent.as_view(), name="password_reset_done"),
    path("password/new/<uidb64>/<token>/", accounts.NewPassword.as_view(), name="password_reset_confirm"),
    path("password/new/done/", accounts.NewPasswordDone.as_view(), name="password_reset_complete"),
    path("volunteers/", volunteers.volunteer_list, name="volunteers"),
    path("volunteers/new/", volunteers.volunteer_new, name="volunteer-new"),
    path("volunteers/import/", imports.import_new, name="import-new"),
    path("volunteers/import/<int:pk>/", imports.import_one, name="import"),
    path("volunteers/import/<int:pk>/act/", imports.import_act, name="import-act"),
    path("volunteers/export/<slug:what>.csv", imports.export, name="export"),
    path("volunteers/<int:pk>/", volunteers.volunteer, name="volunteer"),
    path("volunteers/<int:pk>/change/", volunteers.volunteer_change, name="volunteer-change"),
    path("volunteers/<int:pk>/clearances/new/", clearances.clearance_new, name="clearance-new"),
    path("clearances/<int:pk>/confirm/", clearances.clearance_confirm, name="clearance-confirm"),
    path("clearances/<int:pk>/change/", clearances.clearance_change, name="clearance-change"),
    path("join/", applications.join, name="join"),
    path("join/thank-you/", applications.join_thanks, name="join-thanks"),
    path("j/<str:token>/", applications.join_link, name="join-link"),
    path("applications/", applications.application_list, name="applications"),
    path("applications/<int:pk>/", applications.application, name="application"),
    path("applications/<int:pk>/question/", applications.application_question, name="application-question"),
    path("volunteers/<int:pk>/twins/", applications.duplicates, name="volunteer-duplicates"),
    path("volunteers/<int:pk>/merge/", applications.merge, name="volunteer-merge"),
]
