// Speaking aloud what was logged and when a timer is near. Only voices of this device: others
// would send the words elsewhere. For the same reason no spoken words are taken in: browsers send
// the sound to a service, and what does not is not to be had everywhere.

const voice = () => window.speechSynthesis?.getVoices().find((each) => each.localService) ?? null;

export function canSpeak() {
  return voice() !== null;
}

export function speaker(isOn) {
  return (sentence) => {
    const chosen = isOn() ? voice() : null;
    if (!chosen) return;
    const words = new SpeechSynthesisUtterance(sentence);
    words.voice = chosen;
    words.lang = chosen.lang;
    window.speechSynthesis.cancel();
    window.speechSynthesis.speak(words);
  };
}
