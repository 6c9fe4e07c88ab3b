// Whether two names that people typed may be of one person. The server has the same in people/rules/near_names.py, where
// the reasons and sources stand; tests hold both to one table.
import { sameName } from "./rules.js";

// From which similarity on two spellings are near.
const NEAR = 0.3;
const PLAIN = { ß: "ss", æ: "ae", œ: "oe", ø: "o", ł: "l", đ: "d", ð: "d", þ: "th", ħ: "h", ı: "i", ŋ: "n", ς: "σ" };
const NO_PART = new Set(("af al av bin da das de del della den der di do dos du el ibn la las le les lo los ten ter van vom von zu zum zur"
  + " dr ii iii iv jr miss mr mrs ms prof sr").split(" "));
const CODES = new Map(["BFPV", "CGJKQSXZ", "DT", "L", "MN", "R"].flatMap((letters, at) => [...letters].map((one) => [one, String(at + 1)])));

const split = (text) => text.match(/[\p{L}\p{N}]+/gu) || [];
const both = (ours, theirs) => [...ours].filter((one) => theirs.has(one));

// Every three letters in a row of the words of a text, each with two blanks before it and one after.
export function trigrams(text) {
  const padded = split(text.toLowerCase()).map((word) => [" ", " ", ...word, " "]);
  return new Set(padded.flatMap((word) => word.slice(2).map((_, at) => word.slice(at, at + 3).join(""))));
}

// How many trigrams two texts share, of all that either has.
export function similarity(one, other) {
  const [ours, theirs] = [trigrams(one), trigrams(other)];
  const common = both(ours, theirs).length;
  return common ? common / (ours.size + theirs.size - common) : 0;
}

// Small letters without accents and apostrophes.
function folded(text) {
  const apart = text.replace(/['’‘ʼʻ`´′＇]/gu, "").normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  return apart.replace(/[ßæœøłđðþħıŋς]/gu, (one) => PLAIN[one]);
}

// American Soundex of one word, as the US National Archives publish it; "" where there is no letter from A to Z.
export function sounds(text) {
  const letters = folded(text).toUpperCase().match(/[A-Z]/g) || [];
  if (!letters.length) return "";
  let [code, last] = [letters[0], CODES.get(letters[0])];
  for (const letter of letters.slice(1)) {
    const digit = CODES.get(letter);
    if (digit && digit !== last) code += digit;
    // H and W don't part two letters of one code; a vowel does.
    if (!"HW".includes(letter)) last = digit;
  }
  return code.slice(0, 4).padEnd(4, "0");
}

// Initials and particles are no part of a name, unless it has nothing else.
function partsOf(words) {
  const whole = words.filter((word) => [...word].length > 1);
  const parts = whole.filter((word) => !NO_PART.has(word));
  return new Set(parts.length ? parts : whole);
}

// How two names are alike: any of "same", "shares a part", "sounds alike" and "near by spelling"; empty if not.
export function near(one, other) {
  const [ours, theirs] = [split(folded(one)), split(folded(other))];
  const [mine, yours] = [partsOf(ours), partsOf(theirs)];
  const heard = (parts) => new Set([...parts].map(sounds).filter(Boolean));
  const codes = new Set();
  if (ours.length && [...ours].sort().join(" ") === [...theirs].sort().join(" ")) codes.add("same");
  if (both(mine, yours).length) codes.add("shares a part");
  if (both(heard(mine), heard(yours)).length) codes.add("sounds alike");
  if (similarity(ours.join(" "), theirs.join(" ")) >= NEAR) codes.add("near by spelling");
  return codes;
}

// Of the names that must not pick up: the one that `name` is, or null, and those that it is like.
export function against(name, barred) {
  const found = barred.map((other) => [other, near(name, other)]);
  const same = found.find(([other, codes]) => codes.has("same") || sameName(name, other));
  return { same: same ? same[0] : null, like: found.filter(([, codes]) => codes.size).map(([other]) => other) };
}
