from django.urls import path

from people.views import accounts, clearances, household_imports, imports, volunteers, waiver_texts

urlpatterns = [
    path("sign-in/", accounts.SignIn.as_view(), name="login"),
    path("sign-out/", accounts.SignOut.as_view(), name="logout"),
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
    path("children/import/", household_imports.import_new, name="household-import"),
    path("children/import/<int:pk>/", household_imports.import_one, name="household-import-one"),
    path("children/import/<int:pk>/act/", household_imports.import_act, name="household-import-act"),
    path("waivers/", waiver_texts.waiver_texts, name="waivers"),
    path("waivers/new/", waiver_texts.waiver_new, name="waiver-new"),
    path("waivers/<int:version>/", waiver_texts.waiver_version, name="waiver-version"),
    path("waivers/<int:version>/change/", waiver_texts.waiver_change, name="waiver-change"),
    path("waivers/<int:version>/publish/", waiver_texts.waiver_publish, name="waiver-publish"),
]
