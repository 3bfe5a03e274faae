"""What parts and printers were exposed to, day by day: tasks done, area printed, air and white."""
