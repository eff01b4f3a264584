// Three short tones and a buzz, always beside what is seen; off is a switch.
const tones = { stored: [880, 0.05], ask: [520, 0.12], stop: [220, 0.2], out: [330, 0.15] };
const buzz = { stored: 20, ask: [40, 60, 40], stop: 200, out: [60, 40, 60] };
let context;

export const sound = (name) => {
  if (localStorage.getItem("fettle-sound") === "off") return;
  try {
    navigator.vibrate?.(buzz[name]);
    if (!navigator.userActivation?.hasBeenActive) return;
    context ??= new AudioContext();
    const [pitch, length] = tones[name];
    const tone = new OscillatorNode(context, { frequency: pitch });
    const loud = new GainNode(context, { gain: 0.08 });
    tone.connect(loud).connect(context.destination);
    tone.start();
    tone.stop(context.currentTime + length);
  } catch {
    // a device without a speaker
  }
};
