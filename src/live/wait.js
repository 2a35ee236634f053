"use strict";
// A device that waits looks whether it was let in, and goes on then.
setInterval(async () => {
  const page = await fetch("").then((reply) => reply.text()).catch(() => 'id="waiting"');
  if (!page.includes('id="waiting"')) location.reload();
}, 1500);
