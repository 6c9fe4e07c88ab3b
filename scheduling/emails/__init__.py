from scheduling.emails.build import Untrue, build

__all__ = ["Untrue", "build"]
