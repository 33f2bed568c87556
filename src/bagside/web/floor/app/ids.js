// Ids that are made on the device. crypto.randomUUID is missing over plain http; crypto.getRandomValues is everywhere.

export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}

export function newDevice() {
  return `phone-${newId().slice(0, 6)}`;
}
