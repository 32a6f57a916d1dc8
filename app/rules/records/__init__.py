"""What is kept of a competition: roster, marks, rulings, holds, the competition file. Adds nothing up."""
