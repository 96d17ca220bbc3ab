"""Addresses of the firm's prices."""

from django.urls import URLPattern, path

from sites.prices.pages import price_end, price_new, prices, vat_end, vat_new

urlpatterns: list[URLPattern] = [
    path("prices/", prices, name="prices"),
    path("prices/new/", price_new, name="price-new"),
    path("prices/<uuid:key>/end/", price_end, name="price-end"),
    path("prices/vat/new/", vat_new, name="vat-new"),
    path("prices/vat/<uuid:key>/end/", vat_end, name="vat-end"),
]
