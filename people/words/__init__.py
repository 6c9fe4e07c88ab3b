"""What people read about volunteers, clearances and files, made of codes and facts."""
