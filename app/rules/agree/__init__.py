"""How far two judges agree: two sheets side by side, agreement in numbers, practice. Touches counts; decides nothing."""
