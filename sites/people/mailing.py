"""Mail to people: short, plain text, and never with more than one line in its head."""

import logging
from smtplib import SMTPException

from django.conf import settings
from django.core.mail import EmailMessage

log = logging.getLogger(__name__)


def send_mail_to(address: str, *, subject: str, text: str) -> bool:
    """Send one mail. False where no mail server is set up or it took none; nothing is raised.

    Raises ValueError (Django's BadHeaderError) for an address or a subject of several lines.
    """
    if not settings.MAIL_IS_SET_UP:
        return False
    mail = EmailMessage(subject=subject, body=text, to=[address])
    try:
        return mail.send() == 1
    except (SMTPException, OSError) as fault:
        # The address stays out of the log.
        log.error("A mail could not be sent: %s", type(fault).__name__)
        return False
