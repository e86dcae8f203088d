namespace BoutDesk.Api.Demo;
internal static class DemoLoader
{
    public static void LoadDemoOnceStarted(this WebApplication app) { app.Lifetime.ApplicationStarted.Register(() => { }); }
}
