"""Addresses: today, the week, and the plan behind both."""

from django.urls import URLPattern, path

from builds.views import today, week

urlpatterns: list[URLPattern] = [
    path("week/", week.week, name="week"),
    path("week/print/", week.week_print, name="week-print"),
    path("week/keep/", week.plan_keep, name="plan-keep"),
    path("week/better/", week.plan_improve, name="plan-improve"),
    path("week/better/<int:improving_id>/", week.plan_progress, name="plan-progress"),
    path("week/better/<int:improving_id>/stop/", week.plan_stop, name="plan-stop"),
    path("week/better/<int:improving_id>/back/", week.plan_back, name="plan-back"),
    path("week/better/<int:improving_id>/keep/", week.plan_take, name="plan-take"),
    path("week/better/<int:improving_id>/leave/", week.plan_leave, name="plan-leave"),
    path("today/", today.today, name="today"),
    path("today/jobs/<int:job_id>/", today.job_acts, name="job-acts"),
]
