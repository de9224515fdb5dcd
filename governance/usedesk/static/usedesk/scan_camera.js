// Codes read by the camera of a tablet, where the browser itself can read them (window.BarcodeDetector) over HTTPS.

const FORMATS = ["code_128", "code_39", "data_matrix", "qr_code"];
const EVERY = 250;
const SAME_AGAIN_AFTER = 3000;

export const canRead = () => "BarcodeDetector" in window && window.isSecureContext && Boolean(navigator.mediaDevices);

export class Camera {
  constructor(video, onCode) {
    this.video = video;
    this.onCode = onCode;
    this.seen = new Map();
    this.timer = 0;
  }

  get isOn() { return Boolean(this.stream); }

  async start() {
    const known = await BarcodeDetector.getSupportedFormats();
    const formats = FORMATS.filter((format) => known.includes(format));
    if (!formats.length) throw new Error("no format");
    this.detector = new BarcodeDetector({ formats });
    this.stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    this.video.srcObject = this.stream;
    this.video.hidden = false;
    await this.video.play();
    this.look();
  }

  stop() {
    clearTimeout(this.timer);
    for (const track of this.stream?.getTracks() || []) track.stop();
    this.stream = null;
    this.video.srcObject = null;
    this.video.hidden = true;
  }

  async look() {
    if (!this.isOn) return;
    const codes = await this.detector.detect(this.video).catch(() => []);
    const now = Date.now();
    for (const { rawValue } of codes) {
      if (now - (this.seen.get(rawValue) || 0) > SAME_AGAIN_AFTER) this.onCode(rawValue);
      this.seen.set(rawValue, now); // as long as it lies before the camera it counts once
    }
    this.timer = setTimeout(() => this.look(), EVERY);
  }
}
