"""What people read about centers and clinics, made of codes and facts."""
