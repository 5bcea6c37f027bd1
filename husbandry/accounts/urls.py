from __future__ import annotations

from django.contrib.auth import views as auth_views
from django.contrib.auth.decorators import login_not_required
from django.urls import path

from husbandry.accounts import views

urlpatterns = [
    path(
        "sign-in/",
        login_not_required(
            auth_views.LoginView.as_view(template_name="accounts/sign_in/page.html", redirect_authenticated_user=True)
        ),
        name="sign-in",
    ),
    path("sign-out/", auth_views.LogoutView.as_view(), name="sign-out"),
    path("device/enrol/", views.enrol_device, name="enrol-device"),
    path("device/enrol/<int:pk>/revoke/", views.revoke_device, name="revoke-device"),
    path("device/unconfirmed/", views.tell_unconfirmed, name="tell-unconfirmed"),
    path("person/", views.change_person, name="change-person"),
    path("person/pin/", views.set_own_pin, name="set-pin"),
]
