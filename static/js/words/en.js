// @ts-check
/**
 * The words that are said in more than one place, in English. From the first brace to the last this is JSON, which
 * app/wording.py reads; app/rules/values/words.py says what plurals and holes are. Another language is another such file.
 */
export default {
"language": "en",
"plural": [{"form": "none", "n": [0]}, {"form": "one", "n": [1]}],
"words": {
"or": "{first} or {second}",
"load.unit": "A load is in kg or lb, not in '{said}'.",
"load.plain": "A load is a plain number such as 102.5, with at most {most} decimals; not '{said}'.",
"load.most": "{load} is more than any bar carries ({most} kg).",
"load.empty": "Type a load, such as 100 {unit}.",
"load.letter": "“{said}” is not a load. It has a letter where a digit belongs: type {meant}.",
"load.sign": "“{said}” is not a load. A load has no sign: type {meant}.",
"load.exponent": "“{said}” is not a load. Type all its digits, without the e.",
"load.digits": "“{said}” is not a load. Type digits only, such as 105 or 102.5.",
"load.comma": "“{said}” could mean two loads. Write it without the comma, such as {meant}.",
"load.zero": "A load is more than zero.",
"load.below_bar": "The bar alone weighs {bar}. {load} can't be on it.",
"load.beyond": "{load} is more than anybody lifts: at most {most} goes. Type it again.",
"load.far_last": "The last load was {near}. Is {load} right?",
"load.far_planned": "The planned load was {near}. Is {load} right?",
"load.unit_last": "The last load was {near}. Is this one {load}, or {other}?",
"load.unit_planned": "The planned load was {near}. Is this one {load}, or {other}?",
"load.heavy": "{load} is heavier than this event expects. Is it right?",
"load.down": "The last load was {near}, and this event does not go down.",
"load.off_step": "Loads go in steps of {step}. The nearest: {offers}."
}
};
