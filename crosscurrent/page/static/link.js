// The socket to the board: JSON words both ways, numbers of a field towards the page.

export class Link {
  constructor(key, hear, lost) {
    this.socket = new WebSocket(`ws://${location.host}/socket`);
    this.socket.binaryType = "arraybuffer";
    this.socket.addEventListener("open", () => this.socket.send(key));
    this.socket.addEventListener("close", (event) => lost(event.reason));
    this.socket.addEventListener("message", (event) => hear(...unpacked(event.data)));
  }

  ask(words) {
    if (this.socket.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify(words));
  }
}

function unpacked(data) {
  if (typeof data === "string") return [JSON.parse(data), null];
  const length = new DataView(data).getUint32(0, true);
  const words = JSON.parse(new TextDecoder().decode(new Uint8Array(data, 4, length)));
  return [words, new Float32Array(data, 4 + length)];
}
