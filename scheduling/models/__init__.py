from scheduling.models.booking_requests import Asking
from scheduling.models.bookings import SET_UP, TAKE_DOWN, Answer, Booking
from scheduling.models.feeds import OfficeFeed
from scheduling.models.former_bookings import LeftFloor

__all__ = [
    "SET_UP",
    "TAKE_DOWN",
    "Answer",
    "Asking",
    "Booking",
    "LeftFloor",
    "OfficeFeed",
]
