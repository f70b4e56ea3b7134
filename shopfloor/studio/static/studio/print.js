document.getElementById("print-page").addEventListener("click", () => window.print());
