// Reading a tag with the phone's camera: by the browser itself where it can, else by a decoder
// that is fetched only then.

const PAUSE_MS = 150;
const WIDEST_PX = 800;

export function canScan() {
  return Boolean(navigator.mediaDevices?.getUserMedia);
}

// Show the camera in `video` and call `onText` with the first code read. Returns a stop.
export async function scan(video, onText, decoderAddress) {
  const stream = await navigator.mediaDevices.getUserMedia({
    video: { facingMode: "environment" },
    audio: false,
  });
  let running = true;
  const stop = () => {
    running = false;
    for (const track of stream.getTracks()) track.stop();
    video.srcObject = null;
  };
  try {
    video.srcObject = stream;
    await video.play();
    const read = await reader(decoderAddress);
    look(video, read, () => running, (text) => {
      stop();
      onText(text);
    });
  } catch (trouble) {
    stop();
    throw trouble;
  }
  return stop;
}

async function look(video, read, isRunning, onText) {
  while (isRunning()) {
    const text = await read(video).catch(() => null);
    if (text && isRunning()) onText(text);
    else await new Promise((done) => setTimeout(done, PAUSE_MS));
  }
}

async function reader(decoderAddress) {
  if ("BarcodeDetector" in window) {
    const formats = await BarcodeDetector.getSupportedFormats();
    if (formats.includes("qr_code")) {
      const detector = new BarcodeDetector({ formats: ["qr_code"] });
      return async (video) => (await detector.detect(video))[0]?.rawValue ?? null;
    }
  }
  await loadDecoder(decoderAddress);
  const canvas = document.createElement("canvas");
  return async (video) => decode(frameOf(video, canvas));
}

function frameOf(video, canvas) {
  const scale = Math.min(1, WIDEST_PX / video.videoWidth);
  canvas.width = Math.round(video.videoWidth * scale);
  canvas.height = Math.round(video.videoHeight * scale);
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  pen.drawImage(video, 0, 0, canvas.width, canvas.height);
  return pen.getImageData(0, 0, canvas.width, canvas.height);
}

export function decode(frame) {
  return window.jsQR(frame.data, frame.width, frame.height)?.data ?? null;
}

let loading = null;

export function loadDecoder(address) {
  loading ??= new Promise((done, failed) => {
    const script = document.createElement("script");
    script.src = address;
    script.onload = done;
    script.onerror = () => {
      loading = null;
      failed(new Error("The decoder could not be loaded."));
    };
    document.head.append(script);
  });
  return loading;
}
