"""What the pictures of the page are drawn from: plain numbers of a plan, mm and degrees, rounded to 1e-4. Pure."""
