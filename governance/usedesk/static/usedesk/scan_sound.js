// What came of a code, told to the ear: a short sound for each, and a voice for what needs a look. Never the only sign.

// Frequency (Hz), length (s) and pause after it (s): up for go, level and double for wait, low and long for unknown.
const SOUNDS = {
  go: [[880, 0.09, 0]],
  found: [[880, 0.09, 0]],
  wait: [[523, 0.1, 0.06], [523, 0.1, 0]],
  again: [[659, 0.05, 0.04], [659, 0.05, 0.04], [659, 0.05, 0]],
  unknown: [[196, 0.4, 0]],
  out: [[659, 0.07, 0], [440, 0.1, 0]],
};

let context = null;

export function sound(tone) {
  const AudioContext = window.AudioContext || window.webkitAudioContext;
  if (!AudioContext || !SOUNDS[tone]) return;
  context ||= new AudioContext();
  if (context.state === "suspended") context.resume();
  let at = context.currentTime;
  for (const [frequency, length, pause] of SOUNDS[tone]) {
    const tones = context.createOscillator();
    const loudness = context.createGain();
    tones.type = tone === "unknown" ? "square" : "sine";
    tones.frequency.value = frequency;
    loudness.gain.setValueAtTime(tone === "unknown" ? 0.12 : 0.25, at);
    loudness.gain.setTargetAtTime(0, at + length - 0.02, 0.008);
    tones.connect(loudness).connect(context.destination);
    tones.start(at);
    tones.stop(at + length + 0.05);
    at += length + pause;
  }
}

export const canSpeak = "speechSynthesis" in window;

export function say(words) {
  if (!canSpeak) return;
  speechSynthesis.cancel(); // the newest counts
  const speech = new SpeechSynthesisUtterance(words);
  speech.lang = document.documentElement.lang;
  speechSynthesis.speak(speech);
}
