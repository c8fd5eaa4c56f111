"""What the standards say: threads, hardware, torque, fluids. Pure; standard library only."""
