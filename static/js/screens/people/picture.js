// @ts-check
/** A picture that was chosen is made a small upright square here, before it is sent; where that can't be done it is sent as it is. */

const SIDE_PX = 480;
const QUALITY = 0.85;

const input = /** @type {HTMLInputElement | null} */ (document.getElementById("picture"));
input?.addEventListener("change", () => smaller(input));

/** @param {HTMLInputElement} chosen */
async function smaller(chosen) {
  const file = chosen.files?.[0];
  if (!file) return;
  const small = await square(file).catch(() => null);
  if (!small || chosen.files?.[0] !== file) return;
  const sent = new DataTransfer();
  sent.items.add(new File([small], "picture.jpg", { type: "image/jpeg" }));
  chosen.files = sent.files;
}

/** The middle of a picture, turned as its camera says. @param {File} file @returns {Promise<Blob | null>} */
async function square(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const side = Math.min(picture.width, picture.height);
  const canvas = Object.assign(document.createElement("canvas"), { width: Math.min(side, SIDE_PX), height: Math.min(side, SIDE_PX) });
  const [left, top] = [(picture.width - side) / 2, (picture.height - side) / 2];
  canvas.getContext("2d")?.drawImage(picture, left, top, side, side, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
}
