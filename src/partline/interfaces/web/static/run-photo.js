// A photo is too large for the queue of taps: it waits in the browser's own database until it is
// up, then its event goes the way of every tap.

import { upload } from "./run-wire.js";

const camera = document.getElementById("camera");

function opened() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open("partline-bench", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("photos", { keyPath: "id" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

async function inStore(mode, act) {
  const base = await opened();
  try {
    return await new Promise((resolve, reject) => {
      const work = base.transaction("photos", mode);
      const asked = act(work.objectStore("photos"));
      work.oncomplete = () => resolve(asked.result);
      work.onerror = () => reject(work.error);
      work.onabort = () => reject(work.error);
    });
  } finally {
    base.close();
  }
}

export function photos({ code, newId, stamp, taken, tell }) {
  let held = []; // where the browser's database is refused: in this page alone
  let isBusy = false;

  async function waiting() {
    try {
      const kept = await inStore("readonly", (store) => store.getAll());
      return [...kept.filter((each) => each.code === code), ...held];
    } catch {
      return held;
    }
  }

  async function drop(photo) {
    held = held.filter((each) => each.id !== photo.id);
    await inStore("readwrite", (store) => store.delete(photo.id)).catch(() => {});
  }

  async function send() {
    if (isBusy) return;
    isBusy = true;
    try {
      for (const photo of await waiting()) {
        const answer = await upload(`/runs/${code}/photos?name=${encodeURIComponent(photo.name)}`, photo.file);
        if (answer.content?.photo) {
          taken({ id: photo.id, kind: "photo", cup: null, at: photo.at,
            data: { photo: answer.content.photo } });
          await drop(photo);
        } else if (answer.status >= 400 && answer.status < 500 && answer.status !== 403) {
          tell(answer.content?.error?.message ?? "This photo was not taken in.");
          await drop(photo);
        } else {
          tell("A photo waits to be sent.");
          return;
        }
      }
    } finally {
      isBusy = false;
    }
  }

  camera.addEventListener("change", async () => {
    const [file] = camera.files;
    camera.value = "";
    if (!file) return;
    const photo = { id: newId(), code, at: stamp(), name: file.name, file };
    try {
      await inStore("readwrite", (store) => store.put(photo));
    } catch {
      held.push(photo);
      tell("This browser keeps no photo: leave this page open until it is sent.");
    }
    send();
  });

  return { open: () => camera.click(), send };
}
