// Photos through the file input: over plain http no page may open the camera itself, but every phone's picker can.
// A photo is made smaller before it is kept; what the browser cannot read is kept as it is.

const LONGEST = 2000; // pixels
const QUALITY = 0.82;

export async function smaller(file) {
  let picture;
  try {
    picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    return file.size && /^image\/(jpeg|png|webp)$/.test(file.type) ? file : null;
  }
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
}

export function picker(taken) {
  const input = document.createElement("input");
  Object.assign(input, { type: "file", accept: "image/*", className: "unseen" });
  input.setAttribute("capture", "environment");
  input.setAttribute("tabindex", "-1");
  input.setAttribute("aria-hidden", "true");
  input.addEventListener("change", async () => {
    const file = input.files?.[0];
    input.value = "";
    if (file) taken(await smaller(file));
  });
  return input;
}
