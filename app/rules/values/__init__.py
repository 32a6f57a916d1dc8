"""Single values and how they are written: loads, lengths, texts, ids. Stands on nothing.

- Exact numbers: loads are decimals with their unit and meet through fractions (1 lb = 0.45359237 kg). Floats would tie lifts
  that differ.
- A typed body length needs no unit, because the spans of rules/records/markings.py are narrower than 2.54 to 1: no number
  fits two units. What is two heights all the same (5.9) is refused; what is merely odd is asked about once, and the answer
  names the value, so another odd one is another question.
- What a text may hold is said once, in two strengths. What was never allowed (controls, half characters, what turns the
  reading direction) no stored value, file or mark may hold: the shapes refuse it. What hides or garbles besides (private use,
  towers of accents, marks that nobody sees) is refused where something new comes in. What is stored or recounted is taken as
  it is, so that an old ledger never fails to open. Copy-paste artefacts are taken out, on the tablet too: a judge's note must
  not be lost to an invisible mark.
- A tower of accents is told before it is normalised: Python orders a run of them in quadratic time, 100,000 in half a minute.
"""
