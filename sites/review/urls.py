"""Addresses of the engineer's review."""

from django.urls import URLPattern, path

from sites.review.pages.acts import answer_question, ask_question, give_verdict
from sites.review.pages.answers import (
    answer_accept,
    answer_paid,
    answer_take_back,
    case_answers,
    condition_met,
)
from sites.review.pages.checks import case_checks_page
from sites.review.pages.list_acts import cases_assign, view_delete, view_save
from sites.review.pages.lists import case_review, review_list
from sites.review.pages.record_queries import case_record, record_answer, record_letter
from sites.review.pages.values import reading_take_back, values_to_read
from sites.review.pages.works import case_works, works_days

urlpatterns: list[URLPattern] = [
    path("rulebook/read/", values_to_read, name="values-to-read"),
    path("rulebook/read/<uuid:key>/take-back/", reading_take_back, name="reading-take-back"),
    path("review/", review_list, name="review-list"),
    path("cases/assign/", cases_assign, name="cases-assign"),
    path("views/save/", view_save, name="view-save"),
    path("views/<uuid:key>/delete/", view_delete, name="view-delete"),
    path("cases/<uuid:key>/review/", case_review, name="case-review"),
    path("cases/<uuid:key>/checks/", case_checks_page, name="case-checks"),
    path("cases/<uuid:key>/verdicts/", give_verdict, name="verdict"),
    path("cases/<uuid:key>/questions/", ask_question, name="question"),
    path("questions/<uuid:key>/answer/", answer_question, name="question-answer"),
    path("cases/<uuid:key>/answers/", case_answers, name="case-answers"),
    path("answers/<uuid:key>/take-back/", answer_take_back, name="answer-take-back"),
    path("answers/<uuid:key>/accept/", answer_accept, name="answer-accept"),
    path("answers/<uuid:key>/paid/", answer_paid, name="answer-paid"),
    path("cases/<uuid:key>/works/", case_works, name="case-works"),
    path("cases/<uuid:key>/record/", case_record, name="case-record"),
    path("cases/<uuid:key>/record/letter.txt", record_letter, name="record-letter"),
    path("records/<uuid:key>/answer/", record_answer, name="record-answer"),
    path("works/<uuid:key>/days/", works_days, name="works-days"),
    path("conditions/<uuid:key>/met/", condition_met, name="condition-met"),
]
