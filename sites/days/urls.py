"""Addresses of days and calendars."""

from django.urls import URLPattern, path

from sites.days.pages import calendar_address, calendar_feed, days

urlpatterns: list[URLPattern] = [
    path("days/", days, name="days"),
    path("days/calendar/", calendar_address, name="calendar-address"),
    path("calendar/<str:token>.ics", calendar_feed, name="calendar-feed"),
]
