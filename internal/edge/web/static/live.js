// What other benches do, as the server tells it. Where the stream ends, the
// browser asks again by itself; a gap is filled by asking for all.
export class Live {
  constructor(href, seq, { changed, device, line }) {
    this.seq = seq;
    this.changed = changed;
    this.device = device;
    this.line = line;
    this.href = href;
    this.open();
  }

  open() {
    this.source = new EventSource(this.href);
    this.source.onopen = () => this.line(true);
    this.source.onmessage = (e) => this.told(JSON.parse(e.data));
    this.source.onerror = () => {
      this.line(false);
      if (this.source.readyState === EventSource.CLOSED) setTimeout(() => this.open(), 3000);
    };
  }

  // knows notes how far the page is by the answers to its own entries.
  knows(seq) {
    this.seq = Math.max(this.seq, seq);
  }

  told({ seq, lines }) {
    if (seq <= this.seq) return;
    const whole = lines.length === seq - this.seq;
    this.seq = seq;
    // What this device did itself it hears of in the answer.
    const others = lines.filter((l) => l.device !== this.device);
    if (!whole) this.changed(null);
    else if (others.length > 0) this.changed(others);
  }
}
