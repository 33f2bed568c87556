// Numbers as the page's tongue writes them, with a true minus.

export function figuresOf(tongue) {
  const kept = new Map();
  return (value, digits, least = 0) => {
    const key = `${digits}/${least}`;
    if (!kept.has(key)) {
      kept.set(key, new Intl.NumberFormat(tongue || undefined, {
        maximumFractionDigits: digits,
        minimumFractionDigits: Math.min(least, digits),
        useGrouping: false,
      }));
    }
    const text = kept.get(key).format(value);
    return (/^-0([.,]0*)?$/.test(text) ? text.slice(1) : text).replace("-", "\u2212");
  };
}

export function filled(template, parts) {
  return template.replace(/\{(\w+)\}/g, (whole, key) => (key in parts ? parts[key] : whole));
}
