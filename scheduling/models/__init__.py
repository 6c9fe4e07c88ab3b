from scheduling.models.booking_requests import BookingRequest
from scheduling.models.bookings import SET_UP, TAKE_DOWN, Answer, Booking
from scheduling.models.feeds import OfficeFeed
from scheduling.models.former_bookings import FormerBooking

__all__ = [
    "SET_UP",
    "TAKE_DOWN",
    "Answer",
    "Booking",
    "BookingRequest",
    "FormerBooking",
    "OfficeFeed",
]
